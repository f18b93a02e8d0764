// The range, live: camera and microphone stay in this page; a swing's points go to the page's own server, the answer comes back large.

import { openCamera, shareDevices } from "./live/camera.js";
import { Ear } from "./live/ear.js";
import { Keep } from "./live/keep.js";
import { Reel } from "./live/reel.js";
import { LONGEST_PX } from "./live/watcher.js";
import { drawBody, showAnswer } from "./live/show.js";
import { element, LANGUAGE, note, recall, remember, say } from "./page.js";
import { makeSay } from "./texts.js";

const page = document.getElementById("live");
const LEAST_GAP_S = 0.025; // sixty pictures a second are twice what is needed
const DARK = 38;
const NOBODY_S = 3;
const STATE_EVERY_MS = 400;
const OWN_STRIKES = 9;
const SOUND_BEFORE_S = 3.6;
const AGAIN_S = 0.5;

/** @typedef {{ down: number, rows: { at: number, body: import("./live/pose.js").Body }[], size: [number, number], light: number }} Move */

/** @param {number[]} values */
const middle = (values) => (values.length ? [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] : null);

class Live {
  /** @type {MediaStream | undefined} */
  stream;
  /** @type {Worker | undefined} */
  worker;
  ear = new Ear();
  video = element("live-video", HTMLVideoElement);
  /** @type {number | undefined} */
  clip;
  /** @type {number[]} */
  own = []; // how loud the player's own strikes were
  /** @type {number[]} */
  lags = []; // and how far their sound lay from the picture
  last_s = -1e9;
  seen_s = 0;
  said = 0;
  ready = false;
  waits = 0; // pictures on their way to the worker
  took = /** @type {number[]} */ ([]); // from strike to answer, seconds
  // only where the player agreed that clips are kept: else no picture outlives the look at it
  reel = page?.dataset.films === "yes" && Reel.possible ? new Reel() : null;
  clips = this.reel ? new Keep(page?.dataset.session || "", this.reel) : null;

  async start() {
    note("live-says", say("loading"));
    const opened = await openCamera(recall("live-camera"), recall("live-microphone"));
    if (!opened.stream) {
      note("live-says", say(opened.why || "no_camera"));
      return;
    }
    this.stream = opened.stream;
    element("live-start").textContent = element("live-start").dataset.stop || "";
    this.video.srcObject = this.stream;
    await this.video.play();
    if (this.stream.getAudioTracks().length) await this.ear.listen(this.stream);
    note("live-says", say(this.stream.getAudioTracks().length ? "loading" : "no_microphone"));
    element("live-view").hidden = false;
    await shareDevices();
    this.worker = new Worker(new URL("./live/pose_worker.js", import.meta.url));
    this.worker.onmessage = ({ data }) => this.#hear(data);
    this.worker.onerror = (event) => this.#hear({ what: "failed", why: event.message });
    this.stream.getVideoTracks()[0].onended = () => this.stop();
    this.#next();
  }

  stop() {
    for (const track of this.stream?.getTracks() || []) track.stop();
    this.stream = undefined;
    this.worker?.terminate();
    this.worker = undefined;
    this.ear.stop();
    this.reel?.stop();
    this.clips?.forget();
    this.ready = false;
    this.waits = 0;
    speechSynthesis?.cancel();
    element("live-view").hidden = true;
    element("live-start").textContent = this.#startWord;
    note("live-says", say("stopped"));
  }

  #startWord = element("live-start").textContent;

  #next() {
    if (!this.stream) return;
    this.video.requestVideoFrameCallback((now, told) => this.#picture((told.captureTime ?? now) / 1000));
  }

  /** @param {number} at when it was taken, seconds on the page's clock */
  async #picture(at) {
    this.#next();
    const [wide, high] = [this.video.videoWidth, this.video.videoHeight];
    if (!this.ready || !wide || at - this.last_s < LEAST_GAP_S || this.waits > 6) return;
    this.last_s = at;
    this.reel?.take(this.video, at);
    const scale = Math.min(1, LONGEST_PX / Math.max(wide, high));
    const sizes = { resizeWidth: Math.round(wide * scale), resizeHeight: Math.round(high * scale) };
    this.waits += 1;
    const image = await createImageBitmap(this.video, { ...sizes, resizeQuality: "medium" });
    if (this.worker) this.worker.postMessage({ what: "frame", at, image }, [image]);
    else image.close();
    this.waits -= 1;
  }

  /** @param {any} told by the worker */
  #hear(told) {
    if (told.what === "failed") {
      this.stop();
      note("live-says", say("failed", { why: told.why }));
    }
    if (told.what === "ready") {
      this.ready = true;
      this.seen_s = performance.now() / 1000;
    }
    if (told.what === "state") this.#state(told);
    if (told.what === "swing") this.#measure(told, true);
  }

  /** @param {{ light: number, player: boolean, points: Float64Array | null, size: [number, number] }} told */
  #state(told) {
    const now = performance.now();
    if (told.player) this.seen_s = now / 1000;
    if (now - this.said < STATE_EVERY_MS) return;
    this.said = now;
    drawBody(element("live-picture", HTMLCanvasElement), told);
    const state = told.light < DARK ? "dark" : now / 1000 - this.seen_s > NOBODY_S ? "nobody" : "watching";
    page?.setAttribute("data-state", state);
    note("live-says", say(state));
  }

  /**
   * @param {Move} move
   * @param {boolean} first
   */
  async #measure({ down, rows, size, light }, first) {
    const told = {
      clip: this.clip,
      times: rows.map(({ at }) => at),
      rows: rows.map(({ body: { points, visibility, world } }) => [
        ...[...points].map((v) => Math.round(100 * v) / 100),
        ...[...visibility, ...world].map((v) => Math.round(1e4 * v) / 1e4),
      ]),
      size,
      light,
      down_s: down,
      now_s: performance.now() / 1000,
      own_db: middle(this.own),
      lag_s: this.lags.length < 2 ? null : middle(this.lags),
      ...(this.stream?.getAudioTracks().length ? this.ear.since(down - SOUND_BEFORE_S) : {}),
    };
    const found = await this.#ask("swings", told);
    if (!found) {
      if (first) setTimeout(() => this.#measure({ down, rows, size, light }, false), 1000 * AGAIN_S);
      else note("live-says", say("lost"));
      return;
    }
    if (found.detail) note("live-says", found.detail);
    else if (found.kind !== "nothing") this.#show(found);
  }

  /** @param {any} found */
  #show(found) {
    const since = performance.now() / 1000 - (found.t_impact_s ?? 0);
    if (found.kind === "ball") {
      this.clip = found.clip;
      this.took.push(since);
      this.own = [...this.own, found.bang_db].slice(-OWN_STRIKES);
      this.lags = [...this.lags, found.bang_off_s].slice(-OWN_STRIKES);
    }
    showAnswer(found);
    this.clips?.hold(found);
    if (element("live-voice", HTMLInputElement).checked && found.spoken) {
      const words = new SpeechSynthesisUtterance(found.spoken);
      words.lang = LANGUAGE;
      speechSynthesis.cancel();
      speechSynthesis.speak(words);
    }
    const happened = { ...found, took_s: since };
    page?.dispatchEvent(new CustomEvent("swing", { detail: happened }));
  }

  /**
   * @param {string} where
   * @param {object} told
   */
  async #ask(where, told) {
    try {
      const answer = await fetch(`/sessions/${page?.dataset.session}/live/${where}`, {
        method: "POST",
        body: JSON.stringify(told),
        headers: { "content-type": "application/json", accept: "application/json" },
      });
      return await answer.json();
    } catch {
      return null;
    }
  }

  /**
   * The typed ball of the last swing.
   * @param {HTMLFormElement} form
   */
  async ball(form) {
    const { clip, number, key } = form.dataset;
    const told = Object.fromEntries(new FormData(form));
    const carry = Number(String(told.carry).replace(",", "."));
    const body = { ...told, carry, key, unit: page?.dataset.unit };
    const kept = await this.#ask(`${clip}/${number}/ball`, body);
    if (!kept || kept.detail) {
      note("live-says", kept?.detail || say("lost"));
      return;
    }
    const line = document.querySelector(`#live-list [data-number="${clip}-${number}"] span`);
    if (line) line.textContent = `${told.club} ${told.swing} ${told.carry} ${page?.dataset.unit}`;
    element("live-carry", HTMLInputElement).value = "";
    form.hidden = true;
    note("live-says", makeSay({ kept: say("kept") }, LANGUAGE)("kept", { n: kept.number }));
  }
}

if (page) {
  const live = new Live();
  const voice = element("live-voice", HTMLInputElement);
  voice.checked = recall("live-voice") === "yes";
  voice.addEventListener("change", () => remember("live-voice", voice.checked ? "yes" : ""));
  element("live-start").addEventListener("click", () => (live.stream ? live.stop() : live.start()));
  for (const id of ["live-camera", "live-microphone"])
    element(id, HTMLSelectElement).addEventListener("change", ({ target }) => {
      remember(id, /** @type {HTMLSelectElement} */ (target).value);
      if (live.stream) {
        live.stop();
        live.start();
      }
    });
  const form = element("live-ball", HTMLFormElement);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    live.ball(form);
  });
  addEventListener("pagehide", () => live.stop());
  page.classList.add("ready");
}

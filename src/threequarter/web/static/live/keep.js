// The clip of the last swing: it lies in the page's memory until the next one, and goes to the page's own server only when it is kept.

import { element, LANGUAGE, note, say } from "../page.js";
import { makeSay } from "../texts.js";
import { AFTER_S, filmOf } from "./reel.js";

/** @typedef {import("./reel.js").Reel} Reel */
/** @typedef {import("./reel.js").Cut} Cut */
/**
 * @typedef {{ ball_s: number, cut: Promise<Cut | null>, clip?: number, number?: number, id?: number }} Last
 * a swing: when its ball was struck on the page's clock, its pictures, and where it is kept as a ball
 */

const PART = 4 * 1024 * 1024;
const SETTLE_S = 0.15; // until the coder has done the last picture

/** @param {number} ms */
const pause = (ms) => new Promise((done) => setTimeout(done, ms));
/**
 * @param {string} code
 * @param {Record<string, any>} values
 */
const told = (code, values) => makeSay({ [code]: say(code) }, LANGUAGE)(code, values);

/**
 * @param {string} where
 * @param {BodyInit | undefined} body
 * @param {string} [method]
 */
async function sent(where, body, method = "POST") {
  const answer = await fetch(where, { method, body, headers: { accept: "application/json" }, redirect: "manual" });
  if (answer.type === "opaqueredirect") return {}; // done, and a page would follow
  const found = answer.headers.get("content-type")?.includes("json") ? await answer.json() : {};
  if (!answer.ok) throw new Error(found.detail || say("lost"));
  return found;
}

export class Keep {
  /** @type {Last | undefined} */
  last;
  #box = element("live-keep");
  #keep = /** @type {HTMLButtonElement} */ (element("live-keep-clip"));
  #back = /** @type {HTMLButtonElement} */ (element("live-keep-back"));

  /**
   * @param {string} session
   * @param {Reel} reel
   */
  constructor(session, reel) {
    this.session = session;
    this.reel = reel;
    this.#keep.addEventListener("click", () => this.keep());
    this.#back.addEventListener("click", () => this.takeBack());
  }

  /**
   * A swing was answered: its clip takes the place of the one before.
   * @param {{ t_impact_s?: number, clip?: number, number?: number }} found
   */
  hold({ t_impact_s: ball_s, clip, number }) {
    if (ball_s === undefined) return;
    const wait = ball_s + AFTER_S + SETTLE_S - performance.now() / 1000;
    const cut = pause(Math.max(0, 1000 * wait)).then(() => this.reel.cut(ball_s));
    this.last = { ball_s, cut, clip, number };
    this.#show("");
  }

  forget() {
    this.last = undefined;
    this.#box.hidden = true;
  }

  /**
   * @param {string} says
   * @param {{ kept?: boolean, busy?: boolean, over?: boolean }} [state]
   */
  #show(says, { kept = false, busy = false, over = false } = {}) {
    this.#box.hidden = false;
    this.#keep.hidden = kept || over;
    this.#keep.disabled = busy;
    this.#back.hidden = !kept;
    note("live-keep-says", says);
  }

  async keep() {
    const last = this.last;
    if (!last) return;
    this.#show(say("keeping"), { busy: true });
    try {
      const cut = await last.cut;
      if (!cut) {
        this.#show(say("clip_gone"), { over: true });
        return;
      }
      await this.#send(last, cut);
      if (this.last === last)
        this.#show(last.number ? told("clip_kept", { n: last.number }) : say("clip_kept_alone"), { kept: true });
    } catch (error) {
      if (this.last === last)
        this.#show(error instanceof TypeError ? say("lost") : /** @type {Error} */ (error).message);
    }
  }

  /**
   * @param {Last} last
   * @param {Cut} cut
   */
  async #send(last, cut) {
    const film = filmOf(cut);
    const first = cut.pictures[0].at_us / 1e6;
    if (last.id === undefined) {
      const fields = new FormData();
      const named = last.number ? told("clip_name", { n: last.number }) : say("clip_name_alone");
      fields.set("name", `${named}.webm`);
      fields.set("size", String(film.size));
      fields.set("session", this.session);
      fields.set("age_s", String(Math.round(performance.now() / 1000 - first)));
      last.id = (await sent("/clips/begin", fields)).id;
    }
    for (let at = 0; at < film.size; at += PART)
      await sent(`/clips/${last.id}/bytes?at=${at}`, film.slice(at, at + PART), "PUT");
    if (last.clip) {
      const hangs = new FormData();
      hangs.set("film", String(last.id));
      hangs.set("at_s", (last.ball_s - first).toFixed(3));
      await sent(`/sessions/${this.session}/live/${last.clip}/${last.number}/film`, hangs);
    }
  }

  async takeBack() {
    const last = this.last;
    if (!last?.id) return;
    try {
      await sent(`/clips/${last.id}/bin`, undefined);
      this.#show(say("clip_back"), { over: true });
    } catch (error) {
      this.#show(error instanceof TypeError ? say("lost") : /** @type {Error} */ (error).message, { kept: true });
    }
  }
}

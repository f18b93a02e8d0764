// The clip on its screen: going through it, playing it, a strip of frames, another swing beside it, one picture to send.

import { Screen } from "./film_screen.js";
import { element, input } from "./page.js";

const STRIP = 8;
const SHEET_WIDTH = 190,
  SHEET_GAP = 8,
  SHEET_WORDS = 60;

/** A text of the page with its values. @param {string} text @param {Record<string, string>} values */
export const filled = (text, values) => text.replace(/\{(\w+)\}/g, (whole, name) => values[name] ?? whole);

/** @param {HTMLCanvasElement[]} frames @param {string} words one picture: two rows of frames, the words below */
function sheetOf(frames, words) {
  const sheet = document.createElement("canvas");
  const columns = STRIP / 2;
  const row = frames[0].height + SHEET_GAP;
  sheet.width = columns * (SHEET_WIDTH + SHEET_GAP) + SHEET_GAP;
  sheet.height = 2 * row + SHEET_GAP + SHEET_WORDS;
  const pen = sheet.getContext("2d");
  if (!pen) return sheet;
  pen.fillStyle = "#fffdf7";
  pen.fillRect(0, 0, sheet.width, sheet.height);
  frames.forEach((one, n) => {
    pen.drawImage(
      one,
      SHEET_GAP + (n % columns) * (SHEET_WIDTH + SHEET_GAP),
      SHEET_GAP + Math.floor(n / columns) * row,
    );
  });
  pen.fillStyle = "#14130f";
  pen.font = "17px sans-serif";
  pen.fillText(words, SHEET_GAP, 2 * row + SHEET_GAP + 36, sheet.width - 2 * SHEET_GAP);
  return sheet;
}

export class FilmView {
  /** @type {Screen | null} */
  beside = null;
  /** @type {{ ours: number, theirs: number } | null} the two impacts, at which two swings are locked */
  lock = null;
  playing = 0;

  /** @param {HTMLElement} film */
  constructor(film) {
    this.film = film;
    this.slider = input("film-at");
    this.says = element("film-says");
    this.main = new Screen(this.#canvas("film-picture"), Number(film.dataset.film), this.look, this.cannot);
  }

  /** @param {string} id */
  #canvas(id) {
    return element(id, HTMLCanvasElement);
  }

  /** What is drawn. @returns {import("./film_screen.js").Look} */
  look = () => ({
    film: !input("film-bare").checked,
    lines: input("film-lines").checked,
    levels: JSON.parse(this.film.dataset.levels || "{}"),
    over: this.beside && input("film-over").checked ? this.beside.body(this.beside.at) : null,
  });

  cannot = () => this.film.classList.add("unplayable");

  /** The number of the swing that is chosen; NaN where none was found. */
  get number() {
    const choice = document.getElementById("film-swing");
    return choice instanceof HTMLSelectElement ? Number(choice.value) : NaN;
  }

  say() {
    const at = this.main.at;
    const digits = { minimumFractionDigits: 3, maximumFractionDigits: 3 };
    this.slider.value = String(at);
    this.says.textContent = filled(this.says.dataset.says || "", {
      at: at.toLocaleString(this.says.dataset.locale, digits),
    });
    for (const field of document.querySelectorAll("[data-film-time]"))
      if (field instanceof HTMLInputElement) field.value = at.toFixed(4);
  }

  /** @param {number} time */
  async show(time) {
    const done = this.main.go(time);
    if (this.beside && this.lock) {
      const away = (this.main.at - this.lock.ours) / this.main.told.slower;
      await this.beside.go(this.lock.theirs + away * this.beside.told.slower);
      this.main.draw();
    }
    this.say();
    await done;
  }

  /** @param {number} frames */
  step(frames) {
    const each = this.main.told.frame_s;
    return this.show((Math.round(this.main.at / each) + frames) * each);
  }

  stop() {
    clearTimeout(this.playing);
    this.playing = 0;
    element("film-play").setAttribute("aria-pressed", "false");
  }

  play() {
    if (this.playing) {
      this.stop();
      return;
    }
    element("film-play").setAttribute("aria-pressed", "true");
    const next = async () => {
      const each = this.main.told.frame_s;
      if (this.main.at >= this.main.length - each) {
        this.stop();
        return;
      }
      const before = performance.now();
      await this.step(1);
      const speed = Number(element("film-speed", HTMLSelectElement).value);
      const wait = (each * 1000) / speed - (performance.now() - before);
      if (this.playing) this.playing = window.setTimeout(next, Math.max(0, wait));
    };
    this.playing = window.setTimeout(next, 0);
  }

  /** Frames at equal steps of the arm, back, down and through, each this wide. @param {number} width */
  async #frames(width) {
    const kept = this.main.at;
    /** @type {{ time: number, canvas: HTMLCanvasElement }[]} */
    const found = [];
    for (const time of this.main.steps(this.number, STRIP)) {
      await this.show(time);
      const canvas = document.createElement("canvas");
      this.main.draw(canvas, width);
      found.push({ time, canvas });
    }
    await this.show(kept);
    return found;
  }

  async strip() {
    const strip = element("film-strip");
    const buttons = (await this.#frames(150)).map(({ time, canvas }) => {
      const button = Object.assign(document.createElement("button"), { type: "button", className: "outline" });
      button.append(canvas);
      button.setAttribute("aria-label", filled(strip.dataset.says || "", { at: time.toFixed(2) }));
      button.addEventListener("click", () => this.show(time));
      return button;
    });
    strip.replaceChildren(...buttons);
  }

  /** Lays the chosen swing beside or over this one, locked at the ball. */
  async lay() {
    const chosen = element("film-beside", HTMLSelectElement).value;
    const over = input("film-over").checked;
    this.beside = this.lock = null;
    const other = this.#canvas("film-other");
    other.hidden = !chosen || over;
    this.film.classList.toggle("two", Boolean(chosen) && !over);
    if (!chosen) {
      this.main.draw();
      return;
    }
    const [clip, swing] = chosen.split("-").map(Number);
    const screen = await new Screen(other, clip, () => ({ ...this.look(), over: null }), this.cannot).load();
    const theirs = screen.swing(swing),
      ours = this.main.swing(this.number);
    if (!theirs || !ours) return;
    [this.beside, this.lock] = [screen, { ours: ours.t_impact_s, theirs: theirs.t_impact_s }];
    await this.show(this.main.at);
  }

  /** One picture to send: the strip with the swing's words, by the browser's own way to share, else as a file. */
  async send() {
    const form = element("film-send");
    const frames = (await this.#frames(SHEET_WIDTH)).map(({ canvas }) => canvas);
    if (!frames.length) return;
    const words = form.querySelector(`[data-words="${this.number}"]`)?.textContent?.trim() ?? "";
    const sheet = sheetOf(frames, words);
    /** @type {Blob | null} */
    const blob = await new Promise((done) => sheet.toBlob(done, "image/png"));
    if (!blob) return;
    const file = new File([blob], form.dataset.name || "swing.png", { type: "image/png" });
    if (navigator.canShare?.({ files: [file] })) {
      await navigator.share({ files: [file] }).catch(() => {});
      return;
    }
    const link = Object.assign(document.createElement("a"), { download: file.name, href: URL.createObjectURL(file) });
    link.click();
    URL.revokeObjectURL(link.href);
  }
}

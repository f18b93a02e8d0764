// One number at a time, big, on the keys. What is kept stands in the fields of the form: they are scored, and kept on the phone.
import { element, LANGUAGE, say } from "./page.js";
import { written } from "./texts.js";

const MOST_DIGITS = 5;

/** @param {string} text */
const value = (text) => Number(text.replace(",", "."));

class Caller {
  #typed = "";
  #told = "";

  /**
   * @param {HTMLFormElement} form
   * @param {() => Promise<unknown>} kept what is waited for before a ball is shown as kept
   */
  constructor(form, kept) {
    this.form = form;
    this.kept = kept;
    this.fields = /** @type {HTMLInputElement[]} */ ([...form.querySelectorAll("input[data-called]")]);
    this.row = form.dataset.game === "row" ? Number(form.dataset.row) : 0;
    this.together = form.dataset.game === "game";
    element("every-number").hidden = true;
    element("caller").hidden = false;
    element("pad").addEventListener("click", (event) => {
      const key = /** @type {Element} */ (event.target).closest("[data-digit]");
      if (key instanceof HTMLElement) this.#press(key.dataset.digit || "");
    });
    element("keep").addEventListener("click", () => this.#keep());
    element("take-back").addEventListener("click", () => this.#back());
    document.addEventListener("keydown", (event) => this.#key(event));
    this.#show();
  }

  get #at() {
    return this.fields.findIndex((field) => !field.value);
  }

  /** @param {HTMLInputElement} field */
  #miss(field) {
    return value(field.value) - Number(field.dataset.called);
  }

  /** @param {HTMLInputElement} field */
  #inside(field) {
    return Math.abs(this.#miss(field)) <= Number(field.dataset.half);
  }

  /** Whether all is hit, or three in a row are inside. */
  get #done() {
    return this.#at < 0 || (this.row > 0 && this.#run() >= this.row);
  }

  #run() {
    const hit = this.fields.filter((field) => field.value).reverse();
    const out = hit.findIndex((field) => !this.#inside(field));
    return out < 0 ? hit.length : out;
  }

  /** @param {string} key */
  #press(key) {
    if (key === "back") this.#typed = this.#typed.slice(0, -1);
    else if (this.#typed.length < MOST_DIGITS && !(key === "." && this.#typed.includes("."))) this.#typed += key;
    this.#show();
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey || event.target instanceof HTMLInputElement) return;
    if (/^[0-9.,]$/.test(event.key)) this.#press(event.key.replace(",", "."));
    else if (event.key === "Backspace") this.#press("back");
    else if (
      event.key === "Enter" &&
      !(event.target instanceof HTMLElement && event.target.closest("a, button, summary"))
    ) {
      this.#keep();
    } else return;
    event.preventDefault();
  }

  async #keep() {
    const field = this.fields[this.#at];
    if (this.#done || !field) {
      this.form.requestSubmit();
      return;
    }
    if (!(value(this.#typed) > 0)) {
      this.#told = say("again");
    } else {
      this.#told = "";
      this.#typed = written(this.#typed, LANGUAGE);
      this.#set(field, this.#typed);
      this.#typed = "";
      await this.kept();
    }
    this.#show();
  }

  async #back() {
    const last = this.fields.filter((field) => field.value).pop();
    if (last) this.#set(last, "");
    this.#typed = "";
    this.#told = "";
    await this.kept();
    this.#show();
  }

  /**
   * @param {HTMLInputElement} field
   * @param {string} typed
   */
  #set(field, typed) {
    field.value = typed;
    field.dispatchEvent(new Event("input", { bubbles: true }));
  }

  #show() {
    const hit = this.fields.filter((field) => field.value);
    const field = this.#done ? undefined : this.fields[this.#at];
    const all = this.fields.length;
    element("called-number").textContent = field?.dataset.called ?? "✓";
    element("called-count").textContent = field && !this.row ? say("ball", { n: hit.length + 1, all }) : "";
    this.#nameShot(field?.dataset.shot);
    element("typed-now").textContent = written(this.#typed, LANGUAGE) || "\u00a0";
    element("hits").replaceChildren(...hit.map((one) => this.#mark(one)));
    element("hits-say").textContent = this.#told || this.#says(hit);
    element("keep").textContent = field ? element("keep").dataset.next || "" : element("score").textContent;
  }

  /** @param {string | undefined} shot named on a ladder and for three in a row only */
  #nameShot(shot) {
    const place = document.getElementById("called-shot");
    if (place) place.textContent = shot ?? "";
  }

  /** @param {HTMLInputElement[]} hit */
  #says(hit) {
    if (this.together) return this.#table(hit);
    if (this.row)
      return this.#done && this.#at >= 0
        ? say("made", { all: this.row })
        : say("row", { n: this.#run(), all: this.row });
    const inside = hit.filter((field) => this.#inside(field)).length;
    const usual = say("usual", { usual: this.form.dataset.usual, all: this.fields.length });
    return hit.length ? `${say("inside", { in: inside, n: hit.length })} ${usual}` : usual;
  }

  /**
   * Each player so far, as "Ida 2 of 3".
   * @param {HTMLInputElement[]} hit
   */
  #table(hit) {
    const names = [...new Set(this.fields.map((field) => field.dataset.shot || ""))];
    const told = names.map((who) => {
      const mine = hit.filter((field) => field.dataset.shot === who);
      return mine.length && say("of", { who, in: mine.filter((field) => this.#inside(field)).length, n: mine.length });
    });
    return told.filter(Boolean).join(" · ");
  }

  /** @param {HTMLInputElement} field */
  #mark(field) {
    const made = document.createElement("li");
    const miss = this.#miss(field);
    const by = written(String(Math.round(Math.abs(miss) * 10) / 10), LANGUAGE);
    const how = this.#inside(field) ? say("in") : say(miss < 0 ? "short" : "long", { by });
    made.className = this.#inside(field) ? "in" : "out";
    made.setAttribute("aria-label", say("kept", { called: field.dataset.called, ended: field.value, how }));
    const called = document.createElement("b");
    called.textContent = field.dataset.called || "";
    const ended = document.createElement("small");
    ended.textContent = `${field.value} ${this.#inside(field) ? "✓" : "✕"}`;
    made.append(called, ended);
    return made;
  }
}

/**
 * @param {HTMLFormElement} form whose fields bear what is called
 * @param {() => Promise<unknown>} [kept] what is waited for before a ball is shown as kept
 */
export function startCaller(form, kept = async () => {}) {
  element("keep").dataset.next = element("keep").textContent || "";
  new Caller(form, kept);
}

const form = document.querySelector("form[data-draft][data-game]");
if (form instanceof HTMLFormElement) startCaller(form);

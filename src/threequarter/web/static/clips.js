// A clip goes up in parts, so that a lost connection costs one part; the page of a clip follows its analysis.
import { element, LANGUAGE } from "./page.js";
import { makeSay } from "./texts.js";

const PART = 4 * 1024 * 1024;
const MB = 1048576;
const FIRST_LOOK_MS = 800;
const LOOK_AGAIN_MS = 1500;
const LONGEST_PAUSE_MS = 8000;
const AS_JSON = { headers: { accept: "application/json" } };

/**
 * @param {string} text
 * @param {Record<string, any>} values
 */
const filled = (text, values) => makeSay({ text }, LANGUAGE)("text", values);
/** @param {number} ms */
const pause = (ms) => new Promise((done) => setTimeout(done, ms));

class Upload {
  stopped = false;

  /** @param {HTMLFormElement} form */
  constructor(form) {
    this.form = form;
    this.box = element("clip-progress");
    this.bar = /** @type {HTMLProgressElement} */ (this.box.querySelector("progress"));
  }

  /** @param {string} text */
  tell(text) {
    const says = this.box.querySelector("p");
    if (says) says.textContent = text;
  }

  /** @param {File} file */
  async begin(file) {
    const fields = new FormData(this.form);
    fields.delete("file");
    fields.set("name", file.name);
    fields.set("size", String(file.size));
    fields.set("age_s", String(Math.max(0, Math.round((Date.now() - file.lastModified) / 1000))));
    this.stopped = false;
    this.box.hidden = false;
    const begun = await (await fetch("/clips/begin", { method: "POST", body: fields, ...AS_JSON })).json();
    if (begun.detail) this.tell(begun.detail);
    else await this.#send(file, begun.id, begun.received);
  }

  /**
   * @param {File} file
   * @param {number} id
   * @param {number} at how many bytes are safe
   */
  async #send(file, id, at) {
    let misses = 0;
    while (at < file.size && !this.stopped) {
      try {
        const body = file.slice(at, at + PART);
        const told = await (await fetch(`/clips/${id}/bytes?at=${at}`, { method: "PUT", body, ...AS_JSON })).json();
        if (told.detail && typeof told.received !== "number") {
          this.tell(told.detail);
          return;
        }
        at = told.received;
        misses = 0;
        this.bar.value = at / file.size;
        const amounts = { at: Math.round(at / MB), all: Math.round(file.size / MB) };
        this.tell(filled(this.box.dataset.saysAmount || "", amounts));
      } catch {
        misses += 1;
        this.tell(this.box.dataset.saysAway || "");
        await pause(Math.min(LONGEST_PAUSE_MS, 500 * 2 ** misses));
      }
    }
    if (!this.stopped) {
      location.href = `/clips/${id}`;
      return;
    }
    await fetch(`/clips/${id}/delete`, { method: "POST" });
    this.tell(this.box.dataset.saysCancelled || "");
  }
}

/** @param {HTMLElement} line */
async function follow(line) {
  try {
    const told = await (await fetch(`/clips/${line.dataset.clip}/state.json`)).json();
    if (told.state === "done" || told.state === "failed") {
      location.reload();
      return;
    }
    line.textContent = told.says;
    const bar = document.querySelector("progress");
    if (bar) bar.value = told.progress;
  } catch {
    line.textContent = line.dataset.saysAway || "";
  }
  setTimeout(() => follow(line), LOOK_AGAIN_MS);
}

/** Readies the form of a clip; where nobody need agree first, a clip that is chosen goes up at once. */
export function readyClipForm() {
  const form = document.getElementById("clip-form");
  if (!(form instanceof HTMLFormElement)) return;
  const upload = new Upload(form);
  const chosen = element("clip-file", HTMLInputElement);
  const go = /** @type {HTMLButtonElement} */ (form.querySelector("button[type=submit]"));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const file = chosen.files?.[0];
    if (file) upload.begin(file);
  });
  chosen.addEventListener("change", () => {
    if (!form.elements.namedItem("agree") && !go.disabled) form.requestSubmit(go);
  });
  element("clip-cancel").addEventListener("click", () => {
    upload.stopped = true;
  });
}

readyClipForm();
const state = document.querySelector("[data-clip]");
if (state instanceof HTMLElement) setTimeout(() => follow(state), FIRST_LOOK_MS);

// What the scripts of a page share: its language, its texts, its elements.
import { makeSay } from "./texts.js";

export const LANGUAGE = globalThis.document?.documentElement.lang || "en";

/**
 * An element of the page that is always there.
 * @template {HTMLElement} [T=HTMLElement]
 * @param {string} id
 * @param {new () => T} [kind]
 * @returns {T}
 */
export function element(id, kind) {
  const found = document.getElementById(id);
  if (!found || (kind && !(found instanceof kind))) throw new Error(`no #${id} on this page`);
  return /** @type {T} */ (found);
}

/**
 * @param {string} id
 * @returns {HTMLInputElement}
 */
export const input = (id) => element(id, HTMLInputElement);

/** The texts that the page holds in #texts. */
export const say = makeSay(JSON.parse(globalThis.document?.getElementById("texts")?.textContent || "{}"), LANGUAGE);

/**
 * A line that is hidden while it says nothing.
 * @param {string} id
 * @param {string} text
 */
export function note(id, text) {
  const line = element(id);
  line.textContent = text;
  line.hidden = !text;
}

/**
 * @param {string} text
 * @param {() => unknown} act
 * @param {string} [label] what it is for, where the text alone does not say so
 * @param {string} [style] its class
 */
export function button(text, act, label, style) {
  const made = document.createElement("button");
  made.type = "button";
  made.textContent = text;
  if (style) made.className = style;
  if (label) made.setAttribute("aria-label", `${text}: ${label}`);
  made.addEventListener("click", act);
  return made;
}

/**
 * What this browser remembers of a choice, or the usual one where it remembers nothing.
 * @param {string} name
 * @param {string} usual
 */
export function recall(name, usual = "") {
  try {
    return localStorage.getItem(name) ?? usual;
  } catch {
    return usual;
  }
}

/**
 * @param {string} name
 * @param {string} value
 */
export function remember(name, value) {
  try {
    localStorage.setItem(name, value);
  } catch {
    /* it holds until the page closes */
  }
}

// The number under the thumb: digits, strike, left or right, a guess before it.
import { element, input, LANGUAGE, say } from "../page.js";
import { written } from "../texts.js";
import { by, LIMITS, METRES, paced, state, step, typedUnit, unit, unitMetres } from "./state.js";

const MOST_DIGITS = 4;

/** @param {string} text */
export function tell(text) {
  state.said = text;
  element("state").textContent = text;
}

/**
 * A part of the page, loaded when it is wanted first; null, and told, where it cannot be had.
 * @template T
 * @param {() => Promise<T>} load
 * @returns {Promise<T | null>}
 */
export async function part(load) {
  try {
    return await load();
  } catch {
    tell(say("part_missing"));
    return null;
  }
}

/** @type {Promise<unknown> | null} */
let coming = null;

/** What is pressed until this is done waits for it, so that a number goes where it was meant. @param {Promise<unknown>} act */
export async function first(act) {
  coming = act;
  await act;
  if (coming === act) coming = null;
}

/** @param {() => unknown} act */
export const inTurn = (act) => (coming ? coming.then(act) : act());

/** Whether the next number is the player's own guess. */
export const guessing = () => input("with-guess").checked && state.guess === null && !state.mending;

/** @param {string} now */
function shorter(now) {
  if (!now && state.side) state.side = "";
  else if (!now && state.guess !== null && !state.mending) {
    state.typed = String(state.guess);
    state.guess = null;
  } else return now.slice(0, -1);
  return null;
}

/**
 * A key: a digit, "." or "back".
 * @param {string} key
 */
export function press(key) {
  const now = state.side ? state.sideTyped : state.typed;
  let next = /** @type {string | null} */ (now);
  if (key === "back") next = shorter(now);
  else if (key === "." ? now && !now.includes(".") : now.replace(".", "").length < MOST_DIGITS) next = now + key;
  if (next !== null && state.side) state.sideTyped = next;
  else if (next !== null) {
    state.typed = next;
    state.measured = null;
  }
  showTyped();
}

export function showTyped() {
  element("typed").textContent = written(state.typed, LANGUAGE) || "\u00a0";
  element("unit").textContent = guessing() ? unit : typedUnit();
  element("strike").textContent = state.strike ? say(state.strike) : "";
  element("side-shown").textContent = state.side ? say(state.side, { n: state.sideTyped || "…" }) : "";
  element("guess-shown").textContent = state.guess === null ? "" : say("guess_is", { n: state.guess });
  element("save").textContent = say(guessing() ? "keep_guess" : "save");
  for (const [name, value] of Object.entries({ strike: state.strike, side: state.side })) {
    for (const button of document.querySelectorAll(`[data-${name}]`)) {
      button.setAttribute("aria-pressed", String(button.getAttribute(`data-${name}`) === value));
    }
  }
}

export function clear() {
  Object.assign(state, { typed: "", strike: null, side: "", sideTyped: "", guess: null, measured: null });
  showTyped();
}

/**
 * What is wrong with a number of this many metres, in words; "" for what a wedge can carry.
 * @param {number} metres
 * @param {string} shownUnit
 */
export function wrongWith(metres, shownUnit) {
  if (metres > LIMITS.far) return say("too_far", { typed: state.typed, unit: shownUnit });
  return metres >= LIMITS.near ? "" : say("too_short", { typed: state.typed, unit: shownUnit });
}

/** What is typed, as a number that a wedge can carry, or null with the reason said. */
export function number() {
  const value = Number(state.typed);
  let wrong = wrongWith(value * (guessing() ? METRES[unit] : unitMetres()), typedUnit());
  if (!state.typed) wrong = say(guessing() ? "type_guess" : "type_first");
  else if (!wrong && state.side && Number(state.sideTyped) > value) wrong = say("side_too_far");
  if (wrong) tell(wrong);
  return wrong ? null : value;
}

/** How far left (negative) or right, null where it was not typed. */
export const sideOf = () =>
  state.side && state.sideTyped ? Number(state.sideTyped) * (state.side === "left" ? -1 : 1) : null;

/**
 * All that is typed of a ball.
 * @param {number} carry
 * @returns {import("../balls.js").Content}
 */
export function content(carry) {
  const { club, swing } = state.chosen;
  /** @type {import("../balls.js").Content} */
  const found = { club, swing, carry, unit: paced() ? "paces" : unit, strike: state.strike, side: sideOf(), by: by() };
  if (paced()) found.step = step();
  if (found.by === "pile") found.count = state.pile;
  if (found.by === "position" && state.measured) {
    found.radius_m = state.measured.end;
    found.start_radius_m = state.measured.start;
  }
  if (state.guess !== null) {
    found.guess = state.guess;
    found.guess_unit = unit;
  }
  return found;
}

element("keys").addEventListener("click", (event) => {
  const { key, strike, side } = /** @type {HTMLElement} */ (event.target).dataset;
  if (key) inTurn(() => press(key));
  if (strike) state.strike = state.strike === strike ? null : strike;
  if (side) {
    state.side = state.side === side ? "" : side;
    if (!state.side) state.sideTyped = "";
  }
  if (strike || side) showTyped();
});

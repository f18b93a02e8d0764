// The grid of shots: the chart as it fills, and the way to choose another with one tap.
import { element, say } from "../page.js";
import { sameShot, spread } from "./advice.js";
import { cellOf, clubs, knownShot, reads, shotName, shots, signOf, state, swings, unit } from "./state.js";

/** @typedef {import("./advice.js").Shot} Shot */
/** @typedef {import("../balls.js").TypedBall} TypedBall */

const grid = element("shots");
/** @type {Map<string, HTMLButtonElement>} */
const buttons = new Map();
/** @type {Map<HTMLButtonElement, string>} what each says */
const shown = new Map();
/** @param {Shot} shot */
const keyOf = (shot) => `${shot.club}\n${shot.swing}`;
/** @param {Shot} shot */
const buttonOf = (shot) => /** @type {HTMLButtonElement} */ (buttons.get(keyOf(shot)));

/**
 * @param {string} text
 * @param {string} style
 */
function heading(text, style) {
  const made = document.createElement("span");
  made.className = style;
  made.textContent = text;
  made.dir = "auto";
  return made;
}

/** @param {string} swing */
function lengthHead(swing) {
  const made = heading("", "head");
  made.append(signOf(swing, 24), heading(swing, "name"));
  return made;
}

/** @param {Shot} shot */
function cellButton(shot) {
  const made = document.createElement("button");
  made.type = "button";
  made.setAttribute("role", "radio");
  made.setAttribute("aria-checked", "false");
  made.dataset.club = shot.club;
  made.dataset.swing = shot.swing;
  made.setAttribute("aria-label", shotName(shot)); // until the chart is there, and says more
  buttons.set(keyOf(shot), made);
  return made;
}

/**
 * Makes the grid; `chosen` is called when another shot was chosen.
 * @param {() => unknown} chosen
 */
export function makeGrid(chosen) {
  grid.style.gridTemplateColumns = `minmax(2.2rem, max-content) repeat(${swings.length}, minmax(58px, 1fr))`;
  grid.append(heading("", "head"), ...swings.map((swing) => lengthHead(swing)));
  for (const club of clubs) {
    grid.append(heading(club, "side-head"), ...swings.map((swing) => cellButton({ club, swing })));
  }
  grid.addEventListener("click", (event) => {
    const button = /** @type {HTMLElement} */ (event.target).closest("button");
    if (!button) return;
    const { club = "", swing = "" } = button.dataset;
    state.chosen = knownShot({ club, swing }) || state.chosen;
    chosen();
  });
  grid.addEventListener("keydown", (event) => {
    /** @type {Record<string, number>} */
    const moves = { ArrowRight: 1, ArrowLeft: -1, ArrowDown: swings.length, ArrowUp: -swings.length };
    const move = moves[event.key];
    if (!move) return;
    event.preventDefault();
    const at = shots.findIndex((shot) => sameShot(shot, state.chosen));
    state.chosen = shots[(at + move + shots.length) % shots.length];
    chosen();
    buttonOf(state.chosen).focus();
  });
}

/**
 * Where the player reads in another unit than is typed here, each number bears its own.
 * @param {number} distance
 * @param {string} of
 */
const inUnit = (distance, of) => (reads === unit ? String(distance) : `${distance} ${of}`);

/**
 * @param {any} cell
 * @param {TypedBall[]} here
 */
function smallText(cell, here) {
  const doubt = cell && `±${cell.doubt}${cell.need ? "?" : ""}`;
  if (cell) return cell.balls ? `${doubt} · ${cell.balls}` : doubt;
  return here.length ? String(here.length) : "";
}

/**
 * @param {TypedBall[]} mine
 * @param {Shot | null} next
 */
export function showGrid(mine, next) {
  for (const shot of shots) {
    const cell = state.fresh && cellOf(shot);
    const here = mine.filter((ball) => sameShot(ball, shot));
    const middle = cell ? null : spread(here, unit);
    const [chosen, wanted] = [sameShot(shot, state.chosen), sameShot(next, shot)];
    const number = cell ? inUnit(cell.carry, state.live.unit) : middle ? inUnit(middle.middle, unit) : "·";
    const label = say("cell_label", { shot: shotName(shot), says: saysOf(cell, here) });
    const guessed = Boolean(cell && !cell.balls);
    showCell(buttonOf(shot), { number, small: smallText(cell, here), label, chosen, wanted, guessed });
  }
}

/**
 * A shot's key; one that says the same as before is left alone.
 * @param {HTMLButtonElement} button
 * @param {{ number: string, small: string, label: string, chosen: boolean, wanted: boolean, guessed: boolean }} now
 */
function showCell(button, now) {
  const mark = JSON.stringify(now);
  if (shown.get(button) === mark) return;
  shown.set(button, mark);
  const made = ["b", "br", "small"].map((name) => document.createElement(name));
  made[0].textContent = now.number;
  made[2].textContent = now.small;
  button.replaceChildren(...made);
  button.classList.toggle("guessed", now.guessed);
  button.classList.toggle("wanted", now.wanted);
  button.setAttribute("aria-checked", String(now.chosen));
  button.tabIndex = now.chosen ? 0 : -1;
  button.setAttribute("aria-label", now.label);
}

/**
 * A shot in words: its chart, or what this phone alone can say.
 * @param {any} cell
 * @param {TypedBall[]} here
 */
export function saysOf(cell, here) {
  const middle = spread(here, unit);
  if (cell?.balls) {
    return [say("cell_hit", { ...cell, unit: state.live.unit }), say("balls", { n: cell.balls })].join(", ");
  }
  if (cell) return say("cell_inferred", { ...cell, unit: state.live.unit });
  if (!here.length) return say("cell_none");
  const more = middle ? [say("cell_middle", { ...middle, unit })] : [];
  return [say("cell_here", { n: here.length }), ...more].join(", ");
}

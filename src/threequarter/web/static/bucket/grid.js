// The grid of shots: the chart as it fills, and the way to choose another with one tap.
import { element, say } from "../page.js";
import { sameShot, spread } from "./advice.js";
import { cellOf, clubs, knownShot, reads, shotName, shots, state, swings, unit } from "./state.js";

/** @typedef {import("./advice.js").Shot} Shot */
/** @typedef {import("../balls.js").TypedBall} TypedBall */

const grid = element("shots");
/** @type {Map<string, HTMLButtonElement>} */
const buttons = new Map();
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
  grid.append(heading("", "head"), ...swings.map((swing) => heading(swing, "head")));
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
  if (cell) return cell.balls ? `±${cell.doubt} · ${cell.balls}` : `±${cell.doubt}`;
  return here.length ? String(here.length) : "";
}

/**
 * @param {TypedBall[]} mine
 * @param {Shot | null} next
 */
export function showGrid(mine, next) {
  for (const shot of shots) {
    const button = buttonOf(shot);
    const cell = state.fresh && cellOf(shot);
    const here = mine.filter((ball) => sameShot(ball, shot));
    const middle = spread(here, unit);
    const chosen = sameShot(shot, state.chosen);
    const mark = document.createElement("b");
    const small = document.createElement("small");
    mark.textContent = cell ? inUnit(cell.carry, state.live.unit) : middle ? inUnit(middle.middle, unit) : "·";
    small.textContent = smallText(cell, here);
    button.replaceChildren(mark, document.createElement("br"), small);
    button.classList.toggle("guessed", Boolean(cell && !cell.balls));
    button.classList.toggle("wanted", sameShot(next, shot));
    button.setAttribute("aria-checked", String(chosen));
    button.tabIndex = chosen ? 0 : -1;
    button.setAttribute("aria-label", say("cell_label", { shot: shotName(shot), says: saysOf(cell, here) }));
  }
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

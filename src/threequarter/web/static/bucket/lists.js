// What stands below the keys: the balls of this phone; what should be looked at is loaded when there is any.
import { ALONE } from "../addresses.js";
import { unsent, waits } from "../balls.js";
import { button, element, LANGUAGE, say } from "../page.js";
import { sayBall } from "../texts.js";
import { part } from "./typing.js";

/** @typedef {import("../balls.js").TypedBall} TypedBall */

/**
 * @typedef {object} Acts what the lists have done elsewhere
 * @property {{ send: () => Promise<void> }} sender
 * @property {(ball: TypedBall) => unknown} mend
 * @property {(ball: TypedBall, parts: Partial<TypedBall>) => unknown} change
 * @property {() => unknown} refresh
 * @property {(text: string) => unknown} ask
 */

const SHOWN = 40;
/** @type {Acts} */
let acts;
let everything = false;
/** @type {Map<string, { mark: string, line: HTMLElement }>} lines by the key of their ball, made anew when it changed */
let lines = new Map();
/** @type {Promise<typeof import("./trouble.js") | null> | null} */
let loading = null;

/** The part for what goes wrong, wired once. */
function trouble() {
  loading ||= part(async () => {
    const found = await import("./trouble.js");
    found.wireTrouble(acts);
    return found;
  }).then((found) => {
    if (!found) loading = null; // asked for again the next time
    return found;
  });
  return loading;
}

/** @param {unknown} content */
const dataOf = (content) => `data:application/json,${encodeURIComponent(JSON.stringify(content))}`;

/**
 * @param {string} text
 * @param {...Node} more
 */
export function item(text, ...more) {
  const made = document.createElement("li");
  const says = document.createElement("span");
  says.textContent = text;
  says.dir = "auto";
  made.append(says, ...more);
  return made;
}

/** @param {TypedBall} ball */
function saveAlone(ball) {
  const link = document.createElement("a");
  link.href = dataOf(ball);
  link.download = `ball-${ball.key.slice(0, 8)}.json`;
  link.click();
}

/** @param {string} why */
function reason(why) {
  const made = document.createElement("span");
  made.className = "why";
  made.textContent = why;
  return made;
}

/** @param {TypedBall} ball */
function row(ball) {
  const text = sayBall(ball, say, LANGUAGE);
  const more = ball.why ? [reason(ball.why)] : [];
  const back = (/** @type {boolean} */ gone) => () => acts.change(ball, { back: gone, why: "" });
  if (ball.back) more.push(button(say("bring_back"), back(false), text));
  else
    more.push(
      button(say("mend"), () => acts.mend(ball), text),
      button(say("delete"), back(true), text),
    );
  if (ball.why) more.push(button(say("save_alone"), () => saveAlone(ball), text));
  const state = ball.back ? ` (${say("back_short")})` : waits(ball) && !ALONE ? ` (${say("waits_short")})` : "";
  const made = item(text + state, ...more);
  if (ball.back) made.className = "back-item";
  return made;
}

/** The line of a ball, the one of before where nothing about it changed. @param {TypedBall} ball */
function lineOf(ball) {
  const mark = JSON.stringify([ball, waits(ball)]);
  const known = lines.get(ball.key);
  return known?.mark === mark ? known : { mark, line: row(ball) };
}

/** Only what is another line now is touched. @param {TypedBall[]} balls */
function showRows(balls) {
  lines = new Map(balls.map((ball) => [ball.key, lineOf(ball)]));
  const list = element("list");
  let at = list.firstElementChild;
  for (const { line } of lines.values()) {
    if (line === at) at = at.nextElementSibling;
    else list.insertBefore(line, at);
  }
  while (at) {
    const next = at.nextElementSibling;
    at.remove();
    at = next;
  }
}

/**
 * @param {TypedBall[]} balls
 * @param {any} live
 */
export function showLists(balls, live) {
  const order = [...balls].reverse();
  const held = order.filter((ball) => ball.why && !ball.back);
  const rest = order.filter((ball) => !held.includes(ball));
  showRows([...held, ...(everything ? rest : rest.slice(0, SHOWN))]);
  element("list-more").hidden = everything || rest.length <= SHOWN;
  if (!ALONE) element("file", HTMLAnchorElement).href = dataOf(balls.filter(unsent));
  const open = [...(live?.conflicts || []), ...(live?.doubles || [])].length;
  element("look-at").hidden = element("settle-line").hidden = open === 0;
  if (open) element("settle-count").textContent = say("look_at", { n: open });
  if (open || element("look-list").childElementCount) trouble().then((found) => found?.showTrouble(live));
}

/** @param {boolean} gone */
export async function showGone(gone) {
  element("gone").hidden = !gone;
  if (gone) (await trouble())?.offerOthers();
}

/** @param {Acts} told */
export function wireLists(told) {
  acts = told;
  element("list-more").addEventListener("click", () => {
    everything = true;
    acts.refresh();
  });
  const wrong = element("wrong", HTMLDetailsElement);
  wrong.addEventListener("toggle", async () => {
    if (wrong.open) (await trouble())?.offerPlayers();
  });
}

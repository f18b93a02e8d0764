// What stands below the keys: the balls of this phone, what should be looked at, balls of a session that is gone, the wrong player.
import { ALONE } from "../addresses.js";
import { post } from "../ball_sender.js";
import { all, put } from "../ball_store.js";
import { movedTo, unsent, waits } from "../balls.js";
import { button, element, input, LANGUAGE, say } from "../page.js";
import { sayBall } from "../texts.js";
import { session } from "./state.js";

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
/** @type {{ keys: string[], to: number } | null} balls that were just given to another player */
let given = null;

/** @param {string} id */
const select = (id) => element(id, HTMLSelectElement);
/** @param {unknown} content */
const dataOf = (content) => `data:application/json,${encodeURIComponent(JSON.stringify(content))}`;

/**
 * @param {string} text
 * @param {...Node} more
 */
function item(text, ...more) {
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

/** @param {any} one */
function conflictItem(one) {
  const keep = (/** @type {string} */ take) => () => settle({ conflict: one.id, take });
  return item(say("conflict"), button(one.kept, keep("kept")), button(one.other, keep("other")));
}

/** @param {any} one */
function doubleItem(one) {
  const judge = (/** @type {boolean} */ same) => () => settle({ double: one.ball, same });
  const asked = say("double", { ball: one.says, n: one.seconds });
  return item(asked, button(say("one_ball"), judge(true)), button(say("two_balls"), judge(false)));
}

/**
 * @param {TypedBall[]} balls
 * @param {any} live
 */
export function showLists(balls, live) {
  const order = [...balls].reverse();
  const held = order.filter((ball) => ball.why && !ball.back);
  const rest = order.filter((ball) => !held.includes(ball));
  const shown = everything ? rest : rest.slice(0, SHOWN);
  element("list").replaceChildren(...held.map(row), ...shown.map(row));
  element("list-more").hidden = everything || rest.length <= SHOWN;
  element("file", HTMLAnchorElement).href = dataOf(balls.filter(unsent));
  const open = [...(live?.conflicts || []).map(conflictItem), ...(live?.doubles || []).map(doubleItem)];
  element("look-at").hidden = element("settle-line").hidden = open.length === 0;
  element("settle-count").textContent = say("look_at", { n: open.length });
  element("look-list").replaceChildren(...open);
}

/** @param {object} choice */
async function settle(choice) {
  try {
    const answer = await post(`/api/sessions/${session}/settle`, choice);
    if (!answer.ok && answer.status !== 409) throw new Error(String(answer.status));
  } catch {
    acts.ask(say("no_server"));
  }
  acts.refresh();
}

/**
 * Offers the other sessions: for balls whose session is gone, and for balls of another player.
 * @param {HTMLSelectElement} field
 * @param {boolean} [kept] whether what is chosen stays so
 */
async function offerSessions(field, kept) {
  try {
    const answer = await fetch("/api/typed-sessions");
    if (!answer.ok) return;
    const told = (await answer.json()).sessions;
    const others = told.filter((/** @type {any} */ one) => one.id !== session);
    const chosen = field.value;
    const options = others.map((/** @type {any} */ one) => new Option(`${one.player}, ${one.day}`, String(one.id)));
    field.replaceChildren(...options);
    if (chosen && kept) field.value = chosen;
  } catch {
    /* no signal: what was offered before stays */
  }
}

/** @param {boolean} gone */
export async function showGone(gone) {
  element("gone").hidden = !gone;
  if (gone && !select("gone-to").options.length) await offerSessions(select("gone-to"));
}

async function sendElsewhere() {
  const to = Number(select("gone-to").value);
  if (!to) {
    acts.ask(say("choose"));
    return;
  }
  const moved = (await all(session)).filter((ball) => !ball.back);
  await put(...moved.map((ball) => movedTo(ball, to)));
  location.href = `/bucket/${to}`;
}

/**
 * Gives balls to another session, on the server too where it may have them.
 * @param {string[]} keys
 * @param {number} from
 * @param {number} to
 */
async function give(keys, from, to) {
  const mine = (await all(from)).filter((ball) => keys.includes(ball.key));
  const sent = mine.filter((ball) => ball.tried).map((ball) => ball.key);
  if (sent.length) {
    const answer = await post(`/api/sessions/${from}/move`, { keys: sent, to });
    if (!answer.ok) throw new Error((await answer.json()).detail);
  }
  await put(...mine.map((ball) => ({ ...ball, session: to })));
}

/** @param {unknown} error */
function sayFailed(error) {
  const why = error instanceof Error ? error.message : String(error);
  element("wrong-says").textContent = say("failed", { why });
}

async function giveLast() {
  const to = Number(select("wrong-to").value);
  const count = Number(input("wrong-count").value);
  const last = (await all(session)).filter((ball) => !ball.back && !ball.why).slice(-count);
  if (!to || !(count >= 1) || !last.length) {
    element("wrong-says").textContent = say("choose");
    return;
  }
  try {
    await acts.sender.send();
    const keys = last.map((ball) => ball.key);
    await give(keys, session, to);
    given = { keys, to };
    const player = select("wrong-to").selectedOptions[0].textContent;
    element("wrong-says").textContent = say("moved", { n: keys.length, player });
    element("wrong-back").hidden = false;
  } catch (error) {
    sayFailed(error);
  }
  acts.refresh();
}

async function giveBack() {
  if (!given) return;
  try {
    await give(given.keys, given.to, session);
    element("wrong-says").textContent = "";
    element("wrong-back").hidden = true;
  } catch (error) {
    sayFailed(error);
  }
  acts.refresh();
}

/** @param {Acts} told */
export function wireLists(told) {
  acts = told;
  element("list-more").addEventListener("click", () => {
    everything = true;
    acts.refresh();
  });
  element("gone-send").addEventListener("click", sendElsewhere);
  const wrong = element("wrong", HTMLDetailsElement);
  wrong.addEventListener("toggle", () => {
    if (wrong.open) offerSessions(select("wrong-to"), true);
  });
  element("wrong-give").addEventListener("click", giveLast);
  element("wrong-back").addEventListener("click", giveBack);
}

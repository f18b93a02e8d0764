// What goes wrong with balls, loaded when it does: two that should be looked at, a session that is gone, the wrong player.
import { post } from "../ball_sender.js";
import { all, put } from "../ball_store.js";
import { movedTo } from "../balls.js";
import { button, element, input, say } from "../page.js";
import { item } from "./lists.js";
import { session } from "./state.js";

/** @typedef {import("./lists.js").Acts} Acts */

/** @type {Acts} */
let acts;
/** @type {{ keys: string[], to: number } | null} balls that were just given to another player */
let given = null;

/** @param {string} id */
const select = (id) => element(id, HTMLSelectElement);

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

/** What should be looked at. @param {any} live */
export function showTrouble(live) {
  element("look-list").replaceChildren(
    ...(live.conflicts || []).map(conflictItem),
    ...(live.doubles || []).map(doubleItem),
  );
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

/** Where the balls of a session that is gone may go. */
export async function offerOthers() {
  if (!select("gone-to").options.length) await offerSessions(select("gone-to"));
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
export function wireTrouble(told) {
  acts = told;
  element("gone-send").addEventListener("click", sendElsewhere);
  element("wrong-give").addEventListener("click", giveLast);
  element("wrong-back").addEventListener("click", giveBack);
}

/** Who else may have hit them. */
export const offerPlayers = () => offerSessions(select("wrong-to"), true);

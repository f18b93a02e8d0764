// Balls made, repeated, taken back and changed. A ball is in this phone's own store before the key lights up.
import { all, put } from "../ball_store.js";
import { contentOf, newKey } from "../balls.js";
import { element, LANGUAGE, note, say } from "../page.js";
import { sayBall } from "../texts.js";
import { draw } from "./advice.js";
import { sender, storeNotice } from "./server.js";
import { show, showTarget } from "./show.js";
import { by, cellOf, random, session, shots, standing, state } from "./state.js";
import { clear, content, guessing, number, showTyped, tell } from "./typing.js";

/** @typedef {import("../balls.js").TypedBall} TypedBall */
/** @typedef {import("../balls.js").Content} Content */

const LIT_MS = 180;
const TWICE_MS = 400;
/** @type {Promise<unknown>} a ball is added after the one before it */
let adding = Promise.resolve();
let repeated = 0;
/** @param {TypedBall} ball */
const inWords = (ball) => sayBall(ball, say, LANGUAGE);

/** @param {Content} made */
async function add(made) {
  const balls = await all(session);
  const n = 1 + Math.max(0, ...balls.map((one) => one.n));
  const fresh = { rev: 0, told: 0, tried: false, sent: false, back: false, why: "", base: null };
  const kept = await put({ key: newKey(), session, n, at: Date.now(), ...fresh, ...made });
  if (!kept) note("notice", storeNotice());
  element("save").classList.add("lit");
  setTimeout(() => element("save").classList.remove("lit"), LIT_MS);
  navigator.vibrate?.(15);
  note("brought", "");
  await show();
  sender.send();
}

/** @param {Content} made */
function addInTurn(made) {
  adding = adding.then(() => add(made));
}

/**
 * The next shot of a random order.
 * @param {import("./advice.js").Shot | undefined} last
 * @param {Content[]} more balls on their way into the store
 */
export function drawn(last, more = []) {
  const needed = state.live && state.fresh ? shots.filter((shot) => cellOf(shot)?.need) : [];
  return draw({ session, shots, balls: [...standing(), ...more], needed, last });
}

/** A second tap finds nothing typed: the number is taken before anything is waited for. */
export function save() {
  if (by() === "position" && !state.measured && !guessing()) {
    tell(say(state.mat ? "type_first" : "mat_missing"));
    return;
  }
  const carry = number();
  if (carry === null) return;
  if (guessing()) {
    state.guess = carry;
    state.typed = "";
    tell("");
    showTyped();
    return;
  }
  const made = content(carry);
  clear();
  tell(made.guess === undefined ? "" : say("guessed", { guess: made.guess, carry: made.carry }));
  if (random()) {
    // drawn before the ball is written: a number typed meanwhile belongs to it
    state.chosen = drawn(made, [made]);
    showTarget();
  }
  addInTurn(made);
}

export async function repeat() {
  if (Date.now() - repeated < TWICE_MS) return;
  repeated = Date.now();
  const last = (await all(session)).findLast((ball) => !ball.back && !ball.why);
  if (!last) {
    repeated = 0;
    tell(say("nothing_again"));
    return;
  }
  const { guess: _guess, guess_unit: _unit, ...made } = contentOf(last);
  addInTurn(made);
}

export async function takeBack() {
  await adding;
  if (state.typed || state.strike || state.side) {
    clear();
    return;
  }
  const last = (await all(session)).findLast((ball) => !ball.back);
  if (!last) {
    tell(say("nothing_back"));
    return;
  }
  await change(last, { back: true, why: "" });
  tell(say("taken_back", { ball: inWords(last) }));
}

/**
 * What the server never saw is simply other; what it saw gets a change with the next number.
 * @param {TypedBall} ball
 * @param {Partial<TypedBall>} parts
 */
export async function change(ball, parts) {
  const now = (await all(session)).find((one) => one.key === ball.key) || ball;
  const refused = now.why !== "" && !now.sent;
  const edits = Math.max(now.edits || 0, now.rev) + 1; // a change sent bears it too: a copy brought in by file may have been first
  const rev = now.tried || now.sent ? edits : now.rev;
  await put({ ...now, ...parts, edits, ...(refused ? { tried: false, base: null } : { rev }) });
  await refresh();
}

/** Shows all anew and sends what waits. */
export async function refresh() {
  await show();
  sender.send();
}

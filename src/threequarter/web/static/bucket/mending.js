// An earlier ball changed on the keys: loaded when somebody asks for it.
import { element, LANGUAGE, say } from "../page.js";
import { sayBall } from "../texts.js";
import { change } from "./changing.js";
import { show } from "./show.js";
import { knownShot, METRES, state, unitMetres } from "./state.js";
import { clear, showTyped, sideOf, tell, wrongWith } from "./typing.js";

/** @typedef {import("../balls.js").TypedBall} TypedBall */

/** @param {TypedBall} ball */
const inWords = (ball) => sayBall(ball, say, LANGUAGE);

/** @param {boolean} on */
function mendKeys(on) {
  element("acts").hidden = on;
  element("mend-acts").hidden = !on;
}

/** @param {TypedBall} ball */
export function mend(ball) {
  state.mending = ball;
  state.chosen = knownShot(ball) || state.chosen;
  state.typed = String(ball.carry);
  state.strike = ball.strike || null;
  state.side = ball.side ? (ball.side < 0 ? "left" : "right") : "";
  state.sideTyped = ball.side ? String(Math.abs(ball.side)) : "";
  mendKeys(true);
  tell(say("mending", { ball: inWords(ball) }));
  showTyped();
  show();
  scrollTo(0, 0);
  element("mend-keep").focus({ preventScroll: true });
}

export function stopMending() {
  state.mending = null;
  mendKeys(false);
  clear();
  show();
}

export async function keepMended() {
  const ball = state.mending;
  if (!ball) return;
  const carry = Number(state.typed);
  const metres = carry * (ball.unit === "paces" ? unitMetres() : METRES[ball.unit]);
  const wrong =
    wrongWith(metres, ball.unit) || (Number(state.sideTyped) > carry && state.side ? say("side_too_far") : "");
  if (wrong) {
    tell(wrong);
    return;
  }
  const { club, swing } = state.chosen;
  const parts = { club, swing, carry, strike: state.strike, side: sideOf(), why: "" };
  stopMending();
  await change(ball, parts);
  tell(say("mended", { ball: inWords({ ...ball, ...parts }) }));
}

export async function deleteMended() {
  const ball = state.mending;
  if (!ball) return;
  stopMending();
  await change(ball, { back: true, why: "" });
  tell(say("deleted", { ball: inWords(ball) }));
}

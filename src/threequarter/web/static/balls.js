// A typed ball as this phone keeps it, and what may be said of one. Pure: no page, no store.
//
// A record is what was typed, with the key made here; `base` is what was sent first (it never changes after that), `rev` counts the
// changes since, `told` is the last change that the server has. Names of players are not kept here.

/**
 * @typedef {object} Ball
 * @property {string} key made on this phone
 * @property {number} session
 * @property {number} n counts the balls of a session up
 * @property {number} at when it was typed, by this phone's clock (ms)
 * @property {number} rev changes since it was first sent
 * @property {number} told the last change that the server has
 * @property {boolean} tried whether it may have reached a server
 * @property {boolean} sent whether a server has said that it has it
 * @property {boolean} back whether it was taken back
 * @property {string} why why a server refused it, "" where none did
 * @property {Content | null} base what was sent first
 * @property {boolean} [conflict]
 * @property {number} [edits] how often it was changed on this phone: of two copies the one changed more often holds
 */

/**
 * @typedef {object} Content what was typed and how it was measured
 * @property {string} club
 * @property {string} swing
 * @property {number} carry
 * @property {string} unit yd, m or paces
 * @property {string | null} [strike]
 * @property {number | null} [side] left of the line is negative
 * @property {string} [by]
 * @property {number[] | null} [step]
 * @property {number} [count]
 * @property {number} [radius_m]
 * @property {number} [start_radius_m]
 * @property {number} [guess]
 * @property {string} [guess_unit]
 */

/** @typedef {Ball & Content} TypedBall */

const CONTENT = /** @type {const} */ ([
  "club",
  "swing",
  "carry",
  "unit",
  "strike",
  "side",
  "by",
  "step",
  "count",
  "radius_m",
  "start_radius_m",
  "guess",
  "guess_unit",
]);

/**
 * What a server is told of a ball.
 * @param {TypedBall} ball
 * @returns {Content}
 */
export function contentOf(ball) {
  const told = CONTENT.filter((name) => ball[name] !== undefined && ball[name] !== null);
  return /** @type {Content} */ (Object.fromEntries(told.map((name) => [name, ball[name]])));
}

/**
 * Records of an earlier version of this page know only whether a ball was taken back.
 * @param {any} ball
 * @returns {TypedBall}
 */
export function modern(ball) {
  if (typeof ball.rev === "number") return ball;
  const { club, swing, carry, unit, strike, by } = ball;
  const reached = ball.tried || ball.sent;
  const rev = ball.back && reached ? 1 : 0;
  const base = reached ? { club, swing, carry, unit, strike, by } : null;
  return { ...ball, n: 0, rev, told: ball.told === true ? rev : 0, base };
}

/**
 * Not with the server yet: the ball itself, or the last change of it. A ball deleted before it was ever sent never goes.
 * @param {TypedBall} ball
 */
export const unsent = (ball) => (ball.sent ? ball.rev > ball.told : !(ball.back && !ball.tried));

/**
 * Unsent, and not refused.
 * @param {TypedBall} ball
 */
export const waits = (ball) => unsent(ball) && !ball.why;

/** A key that no other phone makes. */
export function newKey() {
  const bytes = [...crypto.getRandomValues(new Uint8Array(16))];
  return bytes.map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/**
 * A ball as it goes to another session: as if it had never been sent.
 * @param {TypedBall} ball
 * @param {number} session
 * @returns {TypedBall}
 */
export function movedTo(ball, session) {
  return { ...ball, session, sent: false, tried: false, base: null, rev: 0, told: 0, why: "" };
}

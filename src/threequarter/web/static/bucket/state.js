// What the keys' page is about, and all that changes while somebody types, in one object.
import { ALONE, at } from "../addresses.js";
import { bucketOf } from "../here_buckets.js";
import { recall, say } from "../page.js";
import { armOf, sign } from "../sign.js";
import { sameShot } from "./advice.js";

/** @typedef {import("./advice.js").Shot} Shot */
/** @typedef {import("../balls.js").TypedBall} TypedBall */

/** A bucket begun on this phone: its page is everybody's, what it is about is kept here. */
async function begunHere() {
  const found = await bucketOf(Number(location.hash.slice(1))).catch(() => undefined);
  if (!found) {
    location.replace(ALONE ? `${at("/bucket")}#gone` : at("/bucket")); // brought to the server, erased, or never here
    return;
  }
  const { id, player, unit, clubs, swings } = found;
  Object.assign(document.body.dataset, { session: String(id), unit, reads: unit });
  Object.assign(document.body.dataset, { clubs: JSON.stringify(clubs), swings: JSON.stringify(swings) });
  document.title = `${player}, ${document.title}`;
  const who = document.getElementById("who");
  if (who) who.textContent = player;
  for (const link of document.querySelectorAll("a[data-of-bucket]"))
    if (link instanceof HTMLAnchorElement) link.hash = String(id);
}

if (document.body.dataset.session === "here") await begunHere();
const told = document.body.dataset;
export const session = Number(told.session);
export const unit = String(told.unit);
/** What the server told last of the session; the worker keeps it for when there is none. */
export const KNOWN_PATH = `/bucket/${session}/kept.json`;
/** What the player reads in: the chart is said so. */
export const reads = String(told.reads);
/** @type {string[]} */
export const clubs = JSON.parse(told.clubs || "[]");
/** @type {string[]} */
export const swings = JSON.parse(told.swings || "[]");
/** @type {Shot[]} */
export const shots = clubs.flatMap((club) => swings.map((swing) => ({ club, swing })));
export const ASKED = { clubs: clubs.join(","), swings: swings.join(","), child: recall(`child ${session}`) === "yes" };
const CHILD_BALLS = Number(told.childBalls);
/** @type {Record<string, number>} */
export const METRES = { yd: 0.9144, m: 1 };
/** What a wedge can carry, and how long a step can be (m). */
export const LIMITS = { step: [0.4, 1.3], far: 250, near: 0.5 };
const USUAL_STEP_M = 0.9;

export const state = {
  chosen: shots[0],
  /** Whether nobody chose a shot yet, by hand or with a ball: then the keys stand on the one that the chart asks for. */
  opening: true,
  typed: "",
  /** @type {string | null} */
  strike: null,
  side: "",
  sideTyped: "",
  /** @type {number | null} */
  guess: null,
  /** @type {{ metres: number, start: number, end: number } | null} */
  measured: null,
  /** Whether the mat was marked, where this phone measures. */
  mat: false,
  /** @type {TypedBall | null} the ball that is being changed */
  mending: null,
  /** @type {any} the chart as it fills, as the server last told it */
  live: null,
  /** Whether that chart holds all that is known. */
  fresh: false,
  net: "online",
  trouble: "",
  said: "",
  mayClear: false,
  works: true,
  /** Whether this page opens without a signal, looked up in the worker's store. */
  keptHere: false,
  pile: Number(recall("pile", "10")),
  /** @type {TypedBall[]} all balls of the session on this phone */
  balls: [],
};

/** @param {string} name */
const ticked = (name) =>
  /** @type {HTMLInputElement | null} */ (document.querySelector(`[name=${name}]:checked`))?.value || "";
export const by = () => ticked("by");
export const random = () => ticked("order") === "random";
export const paced = () => by() === "paces";
export const typedUnit = () => (paced() ? say("paces") : unit);

/** How each length is drawn. @type {Record<string, import("../sign.js").Arm | number>} */
const ARMS = JSON.parse(told.arms || "{}");
/** @param {string} swing @param {number} size */
export const signOf = (swing, size) => sign(armOf(swing, ARMS), size);
/** @param {Shot} shot */
export const shotName = (shot) => `${shot.club} ${shot.swing}`;
/** @param {Shot} shot */
export const cellOf = (shot) => state.live?.cells.find((/** @type {Shot} */ cell) => sameShot(cell, shot));
/** @param {Shot} shot */
export const knownShot = (shot) => shots.find((one) => sameShot(one, shot));
/** How many balls are left of a child's day, after `more` that are no ball of the bucket; any number for a grown player. */
export function leftToday(more = 0) {
  return ASKED.child ? CHILD_BALLS - hitToday() - more : Infinity;
}

/** Balls of this phone that stand, each of a pile counted. */
export const hitToday = () => standing().reduce((total, ball) => total + (ball.count || 1), 0);

/** The balls that were not taken back. */
export const standing = () => state.balls.filter((ball) => !ball.back);

/**
 * The step of the player, from a walk over a known distance: [paces, metres], or none.
 * @returns {[number, number] | null}
 */
export function step() {
  const [paces, over] = ["paces", "over"].map((name) => Number(recall(`step-${name}`).replace(",", ".")));
  const length = over / paces;
  return paces >= 10 && length >= LIMITS.step[0] && length <= LIMITS.step[1] ? [paces, over] : null;
}

/** How many metres one of what is typed is. */
export function unitMetres() {
  if (!paced()) return METRES[unit];
  const own = step();
  return own ? own[1] / own[0] : USUAL_STEP_M;
}

// What was typed -> a ball with its error -> a carry. As `store/balls/phone_ball_parser.py`, `measurement/errors.py`, `measurement/carry.py`.
import { K } from "./constants.js";
import { parseClub } from "./labels.js";
import { between } from "./numbers.js";
import { Told } from "./prepare.js";
import { RUN_OUTS } from "./run_outs.js";

/** @typedef {import("./prepare.js").Ball} Ball */
/** @typedef {import("../balls.js").Content} Content */

const E = K.errors;
const RESTS = ["laser", "paces", "pile", "position"];

/**
 * A ball as it was typed, not yet brought to a carry.
 * @param {Content} typed
 * @param {number} number
 * @returns {Ball}
 */
export function ballOf(typed, number) {
  const { club, swing, by = "unknown", strike = null, side = null, count = 1 } = typed;
  const step = typed.unit === "paces" ? stepOf(typed.step) : null;
  const metres = step ? step.pace_m : K.units.METRES_PER[typed.unit];
  const distance = typed.carry * metres;
  return {
    ...{ number, club, swing, strike, distance_m: distance, measured_by: by },
    measured_as: RESTS.includes(by) ? "rest" : "carry",
    error_sd_m: errorOf(by, distance, typed.radius_m) || null,
    shared_sd_m: sharedOf(by, distance, step, typed.start_radius_m) || null,
    rounding_m: step && step.pace_m,
    offline_m: side === null ? null : side * metres,
    count,
  };
}

/** @param {number[] | null | undefined} walked paces, and over how many metres */
function stepOf(walked) {
  if (!walked) return { pace_m: E.PACE_M, sd: E.PACE_SD };
  return { pace_m: walked[1] / walked[0], sd: E.PACES_SD };
}

/** @param {string} by @param {number} distance @param {number} [radius] */
function errorOf(by, distance, radius = 0) {
  /** @type {Record<string, number>} */
  const own = {
    laser: E.LASER_SD_M,
    paces: E.PACES_SD * distance,
    pile: E.PILE_SD_M,
    position: radius * E.RADIUS_TO_SD,
  };
  return own[by] ?? 0;
}

/** @param {string} by @param {number} distance @param {{ sd: number } | null} step @param {number} [radius] */
function sharedOf(by, distance, step, radius = 0) {
  if (by === "paces") return (step?.sd ?? E.PACE_SD) * distance;
  if (by === "position") return radius * E.RADIUS_TO_SD;
  return by === "laser" ? E.LASER_SHARED_SD_M : 0;
}

/**
 * A ball brought to a carry: where it lay less its run-out, with the doubt of that.
 * @param {Ball} ball
 * @param {string} ground
 * @returns {Ball}
 */
export function toCarry(ball, ground) {
  if (ball.measured_as !== "rest") return ball;
  if (ground === "plugs") return { ...ball, measured_as: "carry" };
  const [run, shared, own] = tableOf(ball, ground);
  const at = RUN_OUTS.carry_m;
  /** @type {number[]} */
  const rests = [];
  for (const [i, carry] of at.entries()) rests.push(Math.max(carry + run[i], rests[i - 1] ?? 0));
  const carry = between(ball.distance_m, rests, at);
  const wider = (/** @type {number | null} */ sd, /** @type {number[]} */ more) =>
    Math.hypot(sd || 0, between(carry, at, more)) || null;
  return {
    ...ball,
    ...{ measured_as: "carry", distance_m: carry },
    error_sd_m: wider(ball.error_sd_m, own),
    shared_sd_m: wider(ball.shared_sd_m, shared),
  };
}

/** The run-outs of a ball's club; between two lofts the line between them. @param {Ball} ball @param {string} ground @returns {number[][]} */
function tableOf(ball, ground) {
  const tables = RUN_OUTS[ground];
  const [loft, sd] = ball.loft_deg ? [ball.loft_deg, 0] : parseClub(ball.club).prior;
  const low = Math.floor(loft);
  const known = tables[`${loft} ${sd}`];
  if (known) return known;
  const [under, over] = [tables[`${low} 0`], tables[`${low + 1} 0`]];
  if (!under || !over) throw new Told({ code: "engine.no_run_out", loft_deg: loft });
  return under.map((/** @type {number[]} */ part, /** @type {number} */ k) =>
    part.map((one, i) => one + (over[k][i] - one) * (loft - low)),
  );
}

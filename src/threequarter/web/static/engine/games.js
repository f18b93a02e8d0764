// Numbers to hit with a chart, and the score of them. As `practice/call.py` and `practice/games.py`.
import { chance } from "../bucket/advice.js";
import { K } from "./constants.js";
import { parseSwing } from "./labels.js";
import { halfOf } from "./meaning.js";
import { below, chiSquare, mean, median, rounded, sum, upTo } from "./numbers.js";
import { Told } from "./prepare.js";

/** @typedef {Record<string, any>} Cell */
/** @typedef {Record<string, any>} Chart */
/** @typedef {{ carry_m: number, club: string, swing: string, possible_miss_m: number, half_m: number, inside: number }} Call */
/** @typedef {{ carry_m: number, ended_m: number, possible_miss_m: number }} Called */

const C = K.call;
const G = K.games;

/** @param {Cell} cell */
const spreadOf = (cell) => Math.hypot(cell.good_sd_m, halfOf(cell) / 1.645);
/** @param {{ low: number, high: number }} span @param {number} carry */
const holds = (span, carry) => span.low <= carry && carry <= span.high;
/** @param {Cell} cell */
const isFull = (cell) => parseSwing(cell.swing).kind === "full";
/** @template T @param {T[]} values @param {(value: T) => number} cost */
const least = (values, cost) => values.reduce((best, one) => (cost(one) < cost(best) ? one : best));

/** @param {Cell} cell @param {number} carry */
function expectedMiss(cell, carry) {
  const wide = spreadOf(cell);
  const off = cell.stock_carry_m - carry;
  return wide * C.MEAN_ABS_OF_SD * Math.exp(-0.5 * (off / wide) ** 2) + off * (1 - 2 * below(-off / wide));
}

/** @param {Cell[]} cells @param {number} carry @returns {Call} */
function callOf(cells, carry) {
  const best = least(cells, (cell) => expectedMiss(cell, carry));
  if (!holds(best.next90_m, carry)) {
    const carries = cells.map((cell) => cell.stock_carry_m);
    const [low, high] = [Math.min(...carries), Math.max(...carries)];
    throw new Told({ code: "practice.no_shot", carry_m: carry, low_m: low, high_m: high });
  }
  const half = (best.next90_m.high - best.next90_m.low) / 2;
  const [wide, off] = [spreadOf(best), best.stock_carry_m - carry];
  const good = below((half - off) / wide) - below((-half - off) / wide);
  const { club, swing } = best;
  const inside = good * (1 - best.mishit_rate);
  return { carry_m: carry, club, swing, possible_miss_m: expectedMiss(best, carry), half_m: half, inside };
}

/** @param {Cell} cell */
const stock = (cell) => callOf([cell], cell.stock_carry_m);

/**
 * The calls of a game.
 * @param {Chart} chart
 * @param {"called" | "ladder" | "row"} game
 * @param {number} balls
 * @param {number} seed the same numbers for the same seed
 */
export function callsOf(chart, game, balls, seed) {
  if (game === "ladder") return ladder(chart, balls);
  if (game === "row") return inARow(chart);
  return calledNumbers(chart, balls, seed);
}

/** @param {Chart} chart @param {number} balls */
function ladder(chart, balls) {
  const hit = (/** @type {string} */ club) => sum(ofClub(chart, club).map((cell) => cell.balls));
  for (const club of [...chart.clubs].sort((a, b) => hit(b) - hit(a))) {
    const cells = ofClub(chart, club).sort((a, b) => a.stock_carry_m - b.stock_carry_m);
    const partial = cells.filter((cell) => !isFull(cell));
    const rungs = (partial.length >= G.RUNGS ? partial : cells).slice(0, G.RUNGS);
    const climb = [0, 1, 2, 1];
    if (rungs.length === G.RUNGS) return upTo(balls).map((i) => stock(rungs[climb[i % climb.length]]));
  }
  throw new Told({ code: "practice.no_ladder" });
}

/** @param {Chart} chart @param {string} club @returns {Cell[]} */
const ofClub = (chart, club) => chart.cells.filter((/** @type {Cell} */ cell) => cell.club === club);

/** @param {Chart} chart */
function inARow(chart) {
  const partial = chart.cells.filter((/** @type {Cell} */ cell) => !isFull(cell));
  const cell = least(partial.length ? partial : chart.cells, (/** @type {Cell} */ one) => -one.balls);
  return upTo(G.MOST_IN_A_ROW_BALLS).map(() => stock(cell));
}

/** Two in three of partial swings at least, each shot as often as the others. @param {Chart} chart @param {number} balls @param {number} seed */
function calledNumbers(chart, balls, seed) {
  let drawn = 0;
  const draw = () => chance(seed, (drawn += 1));
  const full = chart.cells.filter(isFull);
  const partial = chart.cells.filter((/** @type {Cell} */ cell) => !isFull(cell));
  const most = !full.length ? 0 : partial.length ? Math.floor(balls / C.PARTIAL_OF) : balls;
  const wanted = [...inTurn(full, most, draw), ...inTurn(partial.length ? partial : full, balls - most, draw)];
  return apart(
    shuffled(
      wanted.map((cell) => called(chart, cell, draw)),
      draw,
    ),
  );
}

/** In a random order (Fisher and Yates 1938). @template T @param {T[]} values @param {() => number} draw */
function shuffled(values, draw) {
  const made = [...values];
  for (let i = made.length - 1; i > 0; i--) {
    const j = Math.floor(draw() * (i + 1));
    [made[i], made[j]] = [made[j], made[i]];
  }
  return made;
}

/** @param {Cell[]} cells @param {number} count @param {() => number} draw */
function inTurn(cells, count, draw) {
  /** @type {Cell[]} */
  const order = [];
  while (cells.length && order.length < count) order.push(...shuffled(cells, draw));
  return order.slice(0, count);
}

/** A number that a shot is best for, not always its stock carry. @param {Chart} chart @param {Cell} cell @param {() => number} draw */
function called(chart, cell, draw) {
  const half = (cell.next90_m.high - cell.next90_m.low) / 2;
  for (let i = 0; i < C.TRIES; i++) {
    const carry = rounded(cell.stock_carry_m + (2 * draw() - 1) * C.OFF_STOCK * half);
    const best = least(chart.cells, (/** @type {Cell} */ one) => expectedMiss(one, carry));
    if (best === cell && holds(best.next90_m, carry)) return callOf(chart.cells, carry);
  }
  return callOf(chart.cells, cell.stock_carry_m);
}

/** Two calls for one shot are parted where it can be helped. @param {Call[]} calls */
function apart(calls) {
  const clash = (/** @type {Call | undefined} */ a, /** @type {Call} */ b) =>
    Boolean(a) && a?.club === b.club && a.swing === b.swing;
  /** @type {Call[]} */
  const done = [];
  for (const call of calls) {
    const at = clash(done[done.length - 1], call)
      ? done.findIndex((one, k) => !clash(one, call) && !clash(done[k - 1], call))
      : -1;
    done.splice(at < 0 ? done.length : at, 0, call);
  }
  return done;
}

/** How many of the called balls are inside on average. @param {Call[]} calls */
export const usualInside = (calls) => sum(calls.map((call) => call.inside));

/**
 * The score of a test with its doubt (90 %): 1 is the player's own usual miss.
 * @param {Called[]} balls
 */
export function scoreOf(balls) {
  if (!balls.length) throw new Told({ code: "practice.not_hit" });
  const misses = balls.map((ball) => ball.ended_m - ball.carry_m);
  const scores = balls.map((ball, i) => Math.abs(misses[i]) / ball.possible_miss_m);
  const total = sum(scores.map((one) => one * one)) + Math.PI;
  const [low, high] = [0.95, 0.05].map(
    (level) => C.MEAN_ABS_OF_SD * Math.sqrt(total / chiSquare(level, balls.length + 2)),
  );
  return {
    ...{ balls: balls.length, score: mean(scores), score90: { low, high }, each: scores },
    ...{ miss_m: mean(misses.map(Math.abs)), bias_m: median(misses) },
  };
}

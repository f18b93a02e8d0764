// The posterior of a session: readings to the core's input, its answer to named arrays. As `chart/posterior.py`.
import { K } from "./constants.js";
import { call } from "./core.js";
import { below, mean, median, sortedBy, upTo, within } from "./numbers.js";
import { signsOf } from "./signs.js";

/** @typedef {import("./prepare.js").Readings} Readings */
/** @typedef {Record<string, any>} Posterior */

const P = K.priors;
const Q = K.posterior;
const KINDS = P.KINDS.length;
const logs = (/** @type {number[]} */ values) => values.map(Math.log);

/**
 * The values of one cell over the kept sweeps.
 * @param {Float64Array} block (kept, cells)
 * @param {number} cells
 * @param {number} cell
 */
export function column(block, cells, cell) {
  const kept = block.length / cells;
  const values = new Float64Array(kept);
  for (let k = 0; k < kept; k++) values[k] = block[k * cells + cell];
  return values;
}

/** The mean of each cell. @param {Float64Array} block @param {number} cells */
export const means = (block, cells) => upTo(cells).map((i) => mean(column(block, cells, i)));

/** Indices of cells with a ball, rising. @param {Readings} readings @returns {number[]} */
export const hitCells = (readings) => [...new Set(/** @type {number[]} */ (readings.cell))].sort((a, b) => a - b);

/**
 * @param {Readings} readings
 * @param {{ warm?: boolean | null, freed?: Set<number>, part?: boolean }} how
 * @returns {Posterior}
 */
export function infer(readings, { warm = null, freed = new Set(), part = false } = {}) {
  const run = runOf(readings, part);
  const { order, groups } = groupsOf(readings);
  const numbers = [
    ...head(readings, [groups.length, ...run, Q.SEED], warm),
    ...cellArrays(readings, freed, groups),
    ...ballArrays(readings, order, groups),
  ];
  const [cells, n, keep, swings] = [readings.names.length, order.length, run[1], readings.swings.length];
  const sizes = [Q.PER_CELL.length * keep * cells, Q.PER_SWEEP.length * keep, (2 + KINDS) * n, readings.days * swings];
  const answer = call("run", numbers, sizes[0] + sizes[1] + sizes[2] + sizes[3]);
  /** @type {Posterior} */
  const found = { cells, keep };
  Q.PER_CELL.forEach((/** @type {string} */ name, /** @type {number} */ i) => {
    found[name] = answer.subarray(i * keep * cells, (i + 1) * keep * cells);
  });
  Q.PER_SWEEP.forEach((/** @type {string} */ name, /** @type {number} */ i) => {
    found[name] = answer.subarray(sizes[0] + i * keep, sizes[0] + (i + 1) * keep);
  });
  const chances = answer.subarray(sizes[0] + sizes[1], sizes[0] + sizes[1] + sizes[2]);
  found.classes = new Array(n);
  order.forEach((row, i) => {
    const of = upTo(2 + KINDS).map((k) => chances[k * n + i]);
    found.classes[row] = [of[0] + of[1], ...of.slice(2)];
  });
  const byDay = answer.subarray(sizes[0] + sizes[1] + sizes[2]);
  const [warmth, drift, fade, time] = [mean(found.warm_up), mean(found.drift), fadeOf(readings), ballTime(readings)];
  found.shift = readings.cell.map(
    (/** @type {number} */ cell, /** @type {number} */ i) =>
      byDay[readings.day[i] * swings + (cell % swings)] + warmth * fade[i] + drift * time[i],
  );
  return found;
}

/** Chance of each cell that its own deviation is a large one. @param {Posterior} found */
export const disagreeing = (found) =>
  upTo(found.cells).map((i) => {
    const [middle, spread] = [column(found.rest_mean, found.cells, i), column(found.rest_variance, found.cells, i)];
    const inside = middle.map((one, k) => {
      const sd = Math.sqrt(spread[k]);
      return below((P.OFF_FROM - one) / sd) - below((-P.OFF_FROM - one) / sd);
    });
    return 1 - mean(inside);
  });

/** Where the other shots would have each cell (m). @param {Posterior} found */
export const othersSay = (found) =>
  upTo(found.cells).map((i) => {
    const rest = column(found.rest_mean, found.cells, i);
    return Math.exp(median(column(found.centre, found.cells, i).map((one, k) => one - rest[k])));
  });

/** @param {Readings} readings @param {boolean} part */
function runOf(readings, part) {
  if (part) return [Math.floor(Q.PART_SWEEPS / 3), Q.PART_SWEEPS, Q.PART_SWEEPS, Q.JUMPS];
  const size = readings.cell.length + 4 * hitCells(readings).length + 20;
  const sweeps = Math.trunc(within(Q.WORK / size, Q.KEEP, Q.MOST_SWEEPS));
  return [Math.floor(sweeps / 4), Q.KEEP, sweeps, Q.JUMPS];
}

/** What is believed of a session by how many shots it holds, and whether they are full swings. @param {Readings} readings */
function believedOf(readings) {
  const hit = hitCells(readings);
  if (hit.length > P.FEW_SHOTS) return P.MANY;
  return hit.every((i) => readings.names[i].length.reach >= 1) ? P.FEW_FULL : P.FEW;
}

/** The single numbers, in the order of `enum Input` in core/model.h. @param {Readings} readings @param {number[]} run @param {boolean | null} warm */
function head(readings, run, warm) {
  const clock = readings.names.some((/** @type {any} */ name) => name.length.kind === "clock");
  const believed = believedOf(readings);
  const warmUp = warm === null ? believed.warm_up : P.WARM_UP[warm ? "True" : "False"];
  const [middle, wide] = P.CELL_SCALE_LOG;
  const scalePrior = P.CELL_SCALES.map(
    (/** @type {number} */ scale) => -0.5 * ((Math.log(scale) - middle) / wide) ** 2,
  );
  return [
    ...[readings.cell.length, readings.names.length, readings.clubs.length, readings.swings.length, readings.days],
    ...[...run, Number(clock), P.FULL_54_SD, P.SLOPE_SD, P.CLOCK_POWER_SD, ...warmUp, P.DRIFT_SD],
    ...[P.CLUB_SD, P.DAY_SWING_PART, P.FREE_SD, P.OFF_SHARE],
    ...[...believed.spread_log, P.SPREAD_CLUB_SD, P.SPREAD_SLOPE_SD, P.CELL_SPREAD_SD],
    ...[P.MISHIT_CLUB_SD, P.MISHIT_SWING_SD, P.MISHIT_CELL_SD, ...believed.soft_beta, P.SOFT_SHIFT, P.SOFT_SD],
    ...[...P.CELL_SCALES, ...scalePrior, ...P.SWING_SCALES, ...logs(P.SWING_SCALE_PRIOR)],
    ...[...P.DAY_SDS, ...logs(P.DAY_SD_PRIOR)],
    ...P.MISHIT_GRID.map((/** @type {number} */ share) => Math.log(share / (1 - share))),
    ...[...logs(believed.mishit_prior), ...P.MISHIT_SCALES, ...logs(P.MISHIT_SCALE_PRIOR)],
    ...[...P.KIND_SHIFT, ...P.KIND_SD, ...P.KIND_SHARE],
  ];
}

/** SD of a swing length about its usual share of a full swing. @param {any} length */
function swingSd(length) {
  if (length.reach === null) return P.OWN_SWING_SD;
  const [wide, floor] = length.kind === "clock" ? [P.CLOCK_SD, P.CLOCK_SD_FLOOR] : [P.SWING_SD, P.SWING_SD_FLOOR];
  return wide * Math.sqrt(1 - Math.min(length.reach, 1)) + floor;
}

/** @param {Readings} readings @param {Set<number>} freed @param {Group[]} groups */
function cellArrays(readings, freed, groups) {
  const { names } = readings;
  const swings = readings.swings.length;
  const at = upTo(names.length);
  const first = [0];
  for (const cell of at) first.push(first[cell] + groups.filter((group) => group.cell === cell).length);
  const loft = names.map((/** @type {any} */ name) => name.prior[0] - P.LOFT_REF_DEG);
  const logReach = names.map((/** @type {any} */ name) => Math.log(name.length.reach || P.OWN_SWING_REACH));
  const told = at.filter((i) => names[i].length.reach !== null);
  const level = told.length ? mean(told.map((i) => logReach[i])) : 0;
  const length = at.map((i) => (names[i].length.reach === null ? 0 : logReach[i] - level));
  const middle = new Array(names.length).fill(0);
  for (const cell of hitCells(readings)) {
    middle[cell] = median(
      readings.logCarry.filter((/** @type {any} */ _, /** @type {number} */ i) => readings.cell[i] === cell),
    );
  }
  return [
    ...[...at.map((i) => Math.floor(i / swings)), ...at.map((i) => i % swings), ...first],
    ...at.map((i) => P.FULL_54_LOG_M + P.SLOPE_PER_DEG * loft[i] + logReach[i]),
    ...[...loft, ...at.map((i) => (names[i].length.kind === "clock" ? logReach[i] : 0)), ...length],
    ...[...at.map((i) => Number(freed.has(i))), ...middle],
    ...readings.clubs.map(
      (/** @type {any} */ _, /** @type {number} */ c) => (P.SLOPE_PER_DEG * names[c * swings].prior[1]) ** 2,
    ),
    ...names.slice(0, swings).map((/** @type {any} */ name) => swingSd(name.length)),
  ];
}

/** @typedef {{ cell: number, day: number, count: number }} Group balls of one cell on one day */

/** @param {Readings} readings */
function groupsOf(readings) {
  const key = (/** @type {number} */ i) => readings.cell[i] * readings.days + readings.day[i];
  const order = sortedBy(readings.cell.length, key);
  /** @type {Group[]} */
  const groups = [];
  for (const i of order) {
    const last = groups[groups.length - 1];
    const [cell, day] = [readings.cell[i], readings.day[i]];
    if (last && last.cell === cell && last.day === day) last.count += 1;
    else groups.push({ cell, day, count: 1 });
  }
  return { order, groups };
}

/** @param {Readings} readings @returns {number[]} */
export const fadeOf = (readings) => readings.order.map((/** @type {number} */ hit) => Math.exp(-hit / P.WARM_UP_BALLS));

/** Hundreds of balls from the middle of each day's balls. @param {Readings} readings @returns {number[]} */
export function ballTime(readings) {
  const middle = upTo(readings.days).map((day) => {
    const mine = readings.order.filter((/** @type {any} */ _, /** @type {number} */ i) => readings.day[i] === day);
    return mine.length ? (Math.min(...mine) + Math.max(...mine)) / 2 : 0;
  });
  return readings.order.map(
    (/** @type {number} */ hit, /** @type {number} */ i) => (hit - middle[readings.day[i]]) / 100,
  );
}

/** @param {Readings} readings @param {number[]} order @param {Group[]} groups */
function ballArrays(readings, order, groups) {
  const signs = signsOf(readings).map((row) => {
    const top = Math.max(...row);
    return row.map((one) => Math.exp(one - top));
  });
  const start = [0];
  for (const group of groups) start.push(start[start.length - 1] + group.count);
  const sorted = (/** @type {number[]} */ values) => order.map((i) => values[i]);
  return [
    ...[...groups.map((group) => group.cell), ...groups.map((group) => group.day), ...start],
    ...[...sorted(fadeOf(readings)), ...sorted(ballTime(readings)), ...sorted(readings.noise)],
    ...order.map((i) => 1 / readings.count[i]),
    ...upTo(1 + KINDS).flatMap((k) => order.map((i) => signs[i][k])),
    ...sorted(readings.logCarry),
  ];
}

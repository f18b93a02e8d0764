// What a ball tells of its strike beside its carry: side, launch, spin, a note. As `chart/strike_signs.py`.
import { K } from "./constants.js";
import { invert, logAdd, logNormal, logSum, mean, median, upTo, within } from "./numbers.js";

/** @typedef {import("./prepare.js").Readings} Readings */

const P = K.priors;
const { DISBELIEF, LEAST_SEEN, LAUNCH_ROUNDS, SURE } = K.strike_signs;
const CLASSES = 1 + P.KINDS.length;
/** @param {Readings} readings @returns {number[][]} */
const none = (readings) => readings.cell.map(() => new Array(CLASSES).fill(0));

/** Log factors by class of all signs, one row a reading. @param {Readings} readings */
export function signsOf(readings) {
  const [side, launch, noted] = [sideFactors(readings), launchFactors(readings), notedFactors(readings)];
  return side.map((row, i) => row.map((one, k) => one + launch[i][k] + noted[i][k]));
}

/** @param {Readings} readings */
export function sideFactors(readings) {
  const factor = none(readings);
  const seen = upTo(factor.length).filter((i) => Number.isFinite(readings.side[i]));
  if (seen.length < LEAST_SEEN) return factor;
  const side = seen.map((i) => readings.side[i]);
  const bias = (median(side) * seen.length) / (seen.length + P.SIDE_BALLS);
  const robust = 1.4826 * median(side.map((one) => Math.abs(one - bias)));
  const weight = P.SIDE_BALLS + seen.length;
  const sd = Math.sqrt((P.SIDE_BALLS * P.SIDE_SD ** 2 + seen.length * robust ** 2) / weight);
  for (const i of seen) {
    const off = readings.side[i] - bias;
    factor[i][0] = logNormal(off, 0, sd);
    P.KIND_SIDE_SD.forEach((/** @type {number} */ wider, /** @type {number} */ k) => {
      const wide = sd * wider;
      if (P.KINDS[k] !== "toe") factor[i][k + 1] = logNormal(off, 0, wide);
      else factor[i][k + 1] = logAdd(logNormal(off, -P.TOE_SIDE, wide), logNormal(off, P.TOE_SIDE, wide)) - Math.log(2);
    });
  }
  return factor;
}

/** @param {Readings} readings */
export function launchFactors(readings) {
  const factor = none(readings);
  const { launch, logSpin } = readings;
  const seen = upTo(factor.length).filter((i) => Number.isFinite(launch[i]) && Number.isFinite(logSpin[i]));
  if (seen.length < Math.max(LEAST_SEEN, P.LAUNCH_BALLS)) return factor;
  const values = seen.map((i) => [launch[i], logSpin[i]]);
  const { design, cell } = shotPlane(readings, seen);
  let usual = usualOf(values, design, cell, likelyGood(values, cell));
  /** @type {number[][]} */
  let found = [];
  const prior = [0.8, ...P.KIND_SHARE.map((/** @type {number} */ share) => 0.2 * share)].map(Math.log);
  for (let turn = 0; turn < LAUNCH_ROUNDS; turn++) {
    found = usual.residual.map((row) => launchClasses(row, usual.sd));
    const good = found.map((row) => {
      const chance = row.map((one, k) => one + prior[k]);
      return Math.exp(chance[0] - logSum(chance));
    });
    usual = usualOf(values, design, cell, good);
  }
  seen.forEach((i, row) => {
    factor[i] = found[row].map((one) => within(one - found[row][0], -SURE, SURE));
  });
  return factor;
}

/** @param {Readings} readings */
function notedFactors(readings) {
  const factor = none(readings);
  const no = Math.log(DISBELIEF);
  const named = ["", "fat", "thin", "toe"];
  readings.known.forEach((/** @type {number} */ code, /** @type {number} */ i) => {
    if (code < 0) return;
    const kinds = P.KINDS.map((/** @type {string} */ kind) => (code > 0 && kind === named[code] ? 0 : no));
    factor[i] = [code === 0 ? 0 : no, ...kinds];
  });
  return factor;
}

/**
 * Places of the rows of each cell.
 * @param {number[]} cell
 */
function byCell(cell) {
  /** @type {Map<number, number[]>} */
  const found = new Map();
  cell.forEach((one, i) => found.set(one, [...(found.get(one) || []), i]));
  return [...found.values()];
}

/** @param {number[][]} values @param {number[]} cell */
function likelyGood(values, cell) {
  const good = new Array(cell.length).fill(0);
  for (const rows of byCell(cell)) {
    const middle = [0, 1].map((k) => median(rows.map((i) => values[i][k])));
    for (const i of rows) {
      const off = [0, 1].map((k) => ((values[i][k] - middle[k]) / (3 * P.LAUNCH_SD[k])) ** 2);
      good[i] = Math.exp(-0.5 * (off[0] + off[1])) + 1e-3;
    }
  }
  return good;
}

/** @param {Readings} readings @param {number[]} seen */
function shotPlane(readings, seen) {
  const cell = seen.map((i) => readings.cell[i]);
  const { logCarry } = readings;
  const middle = new Map(
    [...new Set(cell)].map((c) => [
      c,
      median(logCarry.filter((/** @type {any} */ _, /** @type {number} */ i) => readings.cell[i] === c)),
    ]),
  );
  const length = cell.map((c) => /** @type {number} */ (middle.get(c)));
  const level = mean(length);
  const loft = (/** @type {number} */ c) => readings.names[c].prior[0] - P.LOFT_REF_DEG;
  return { design: cell.map((c, i) => [1, loft(c) / 5, length[i] - level]), cell };
}

/** Residuals from what is usual and their SD, by launch and log spin. @param {number[][]} values @param {number[][]} design @param {number[]} cell @param {number[]} good */
function usualOf(values, design, cell, good) {
  const normal = new Float64Array(9);
  const pull = [0, 1, 2].map(() => [0, 0]);
  design.forEach((row, i) => {
    for (let a = 0; a < 3; a++) {
      for (let b = 0; b < 3; b++) normal[3 * a + b] += row[a] * good[i] * row[b];
      for (let k = 0; k < 2; k++) pull[a][k] += row[a] * good[i] * values[i][k];
    }
  });
  for (let a = 0; a < 3; a++) normal[4 * a] += 0.3;
  invert(normal, 3);
  const plane = [0, 1, 2].map((a) =>
    [0, 1].map((k) => [0, 1, 2].reduce((s, b) => s + normal[3 * a + b] * pull[b][k], 0)),
  );
  const residual = values.map((row, i) =>
    row.map((one, k) => one - design[i].reduce((s, x, a) => s + x * plane[a][k], 0)),
  );
  for (const rows of byCell(cell)) {
    const n = rows.reduce((s, i) => s + good[i], 0);
    const moved = [0, 1].map((k) => rows.reduce((s, i) => s + good[i] * residual[i][k], 0) / (n + P.LAUNCH_CELL_BALLS));
    for (const i of rows) residual[i] = residual[i].map((one, k) => one - moved[k]);
  }
  const n = good.reduce((s, one) => s + one, 0);
  const sd = [0, 1].map((k) => {
    const squares = residual.reduce((s, row, i) => s + good[i] * row[k] ** 2, 0);
    return Math.sqrt((P.LAUNCH_BALLS * P.LAUNCH_SD[k] ** 2 + squares) / (P.LAUNCH_BALLS + n));
  });
  return { residual, sd };
}

/** @param {number[]} row @param {number[]} sd */
function launchClasses([launch, spin], sd) {
  const off = [launch, Math.min(spin, 0)];
  const good = logNormal(off[0], 0, sd[0]) + logNormal(off[1], 0, sd[1]);
  const bad = P.KINDS.map((/** @type {string} */ kind) => {
    const [shift, wide] = P.LAUNCH_KINDS[kind];
    return [0, 1].reduce((s, k) => s + logNormal(off[k], shift[k], Math.hypot(sd[k], wide[k])), 0);
  });
  return [good, ...bad];
}

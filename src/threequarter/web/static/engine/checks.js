// What in the balls does not look like one player hitting these shots with one device. As `chart/checks.py`.
import { K } from "./constants.js";
import { shotName } from "./labels.js";
import { below, belowT, binomialTo, median, quantiles, rounded, sd, sortedBy, sum, upTo } from "./numbers.js";
import { ballTime, column, hitCells, means } from "./posterior.js";
import { otherUnit } from "./units_check.js";

/** @typedef {import("./prepare.js").Readings} Readings */
/** @typedef {import("./prepare.js").Message} Message */
/** @typedef {import("./posterior.js").Posterior} Posterior */

const C = K.checks;
const P = K.priors;

/** @param {Readings} readings @param {Posterior} posterior */
export function drift90(readings, posterior) {
  if (sd(posterior.drift) > C.DRIFT_TOLD * P.DRIFT_SD) return null;
  const time = ballTime(readings);
  const span = Math.max(...time) - Math.min(...time);
  const [low, high] = quantiles(posterior.drift, [0.05, 0.95]).map((one) => Math.expm1(one * span));
  return { low, high };
}

/**
 * The checks that fail, worst first, and what is only asked.
 * @param {Readings} readings
 * @param {Posterior} posterior
 * @param {number[]} disagree
 * @param {number[]} others
 */
export function judged(readings, posterior, disagree, others) {
  const centre = means(posterior.centre, posterior.cells);
  const found = cellChecks(readings, posterior, centre, disagree, others);
  const asked = [];
  const { gain, told } = otherUnit(readings, posterior);
  if (told && gain >= K.units_check.GAIN) found.unshift(told);
  else {
    if (told && gain >= K.units_check.GAIN_ASKED) asked.push(told);
    found.push(...groupChecks(readings, posterior, centre));
  }
  const { missing, cut } = cutShort(readings, posterior, centre);
  if (missing >= C.MISSING_ASKED) (missing >= C.MISSING ? found : asked).push(cut);
  return { failed: found, asked };
}

/** @param {Readings} readings @param {Posterior} posterior @param {number[]} centre @param {number[]} disagree @param {number[]} others */
function cellChecks(readings, posterior, centre, disagree, others) {
  /** @type {Message[]} */
  const found = [];
  for (const i of hitCells(readings)) {
    const shot = shotName(readings.names[i]);
    const at = Math.exp(centre[i]);
    if (disagree[i] >= K.result.SURE_FROM) {
      found.push({ code: "chart.check.cell", shot, hit_m: at, others_m: others[i] });
      continue;
    }
    const mine = upTo(readings.cell.length).filter((row) => readings.cell[row] === i);
    const y = mine.map((row) => readings.logCarry[row] - posterior.shift[row]);
    if (y.length < C.LEAST_BALLS) continue;
    const middle = median(y);
    const rate = sum(column(posterior.mishits, posterior.cells, i)) / posterior.keep;
    const above = y.filter((one) => one > centre[i]).length;
    const longer = (1 - rate) / 2 + rate * C.LONG_SHARE;
    const chance = Math.min(binomialTo(above, y.length, longer), 1 - binomialTo(above - 1, y.length, longer));
    if (chance < C.ONE_SIDED && Math.abs(middle - centre[i]) > P.OFF_FROM)
      found.push({ code: "chart.check.balls", shot, balls_m: Math.exp(middle), chart_m: at });
  }
  return found;
}

/** @param {Readings} readings @param {Posterior} posterior @param {number[]} centre */
function groupChecks(readings, posterior, centre) {
  const spread = means(posterior.log_sd, posterior.cells).map(Math.exp);
  const z = readings.cell.map((/** @type {number} */ cell, /** @type {number} */ i) => {
    const wide = Math.sqrt(spread[cell] ** 2 / readings.count[i] + readings.noise[i]);
    return (readings.logCarry[i] - posterior.shift[i] - centre[cell]) / wide;
  });
  const beside = (/** @type {(i: number) => boolean} */ mine) => {
    const rows = upTo(z.length).filter(mine);
    const good = rows.map((i) => posterior.classes[i][0]);
    const pull = Math.abs(sum(rows.map((i, k) => good[k] * z[i])));
    return sum(good) >= C.LEAST_BALLS && pull > (C.APART + 2) * Math.sqrt(sum(good.map((one) => one * one)));
  };
  /** @type {Message[]} */
  const found = [];
  const swings = readings.swings.length;
  readings.clubs.forEach((/** @type {string} */ club, /** @type {number} */ c) => {
    if (beside((i) => Math.floor(readings.cell[i] / swings) === c)) found.push({ code: "chart.check.club", club });
  });
  for (let day = 0; readings.days > 1 && day < readings.days; day++) {
    if (beside((i) => readings.day[i] === day)) found.push({ code: "chart.check.day", number: day + 1 });
  }
  return found;
}

/** @param {Readings} readings @param {Posterior} posterior @param {number[]} centre */
function cutShort(readings, posterior, centre) {
  const spread = means(posterior.log_sd, posterior.cells).map(Math.exp);
  const rate = means(posterior.mishits, posterior.cells);
  const least = Math.min(...readings.logCarry);
  const scale = Math.sqrt((P.TAIL_DF - 2) / P.TAIL_DF);
  const parts = readings.cell.map((/** @type {number} */ cell, /** @type {number} */ i) => {
    const off = least - centre[cell] - posterior.shift[i];
    const bad = P.KIND_SHARE.map(
      (/** @type {number} */ share, /** @type {number} */ k) =>
        share * below((off - P.KIND_SHIFT[k]) / Math.hypot(P.KIND_SD[k], spread[cell])),
    );
    return (1 - rate[cell]) * belowT(P.TAIL_DF, off / spread[cell] / scale) + rate[cell] * sum(bad);
  });
  const missing = sum(parts.filter((/** @type {number} */ part) => part >= C.NEAR_SHARE));
  return { missing, cut: { code: "chart.check.cut", least_m: Math.exp(least), count: rounded(missing) } };
}

/** A drift that is there, or that the order hides. @param {{ low: number, high: number } | null} drift @param {Readings} readings */
export function notesOnDrift(drift, readings) {
  if (!drift) {
    const inOrder = sortedBy(readings.cell.length, (i) => readings.order[i]).map((i) => readings.cell[i]);
    const blocks = 1 + inOrder.filter((cell, i) => i > 0 && cell !== inOrder[i - 1]).length;
    const hit = hitCells(readings).length;
    return hit > 1 && blocks === hit && readings.cell.length >= 40 ? [{ code: "chart.blocks" }] : [];
  }
  const change = -(drift.low + drift.high) / 2;
  if (Math.abs(change) < (C.CLEAR * (drift.high - drift.low)) / 2) return [];
  return [{ code: change > 0 ? "chart.shorter" : "chart.longer", change_share: Math.abs(change) }];
}

// Two swings under one name: balls of one cell that gather about two centres instead of one. As `chart/two_swings.py`.
import { K } from "./constants.js";
import { logAdd, logSum, mean, median, quantiles, sd, upTo } from "./numbers.js";
import { column, hitCells, infer, means } from "./posterior.js";
import { without } from "./prepare.js";

/** @typedef {import("./prepare.js").Readings} Readings */
/** @typedef {{ cell: number, centres_m: [number, number] }} Found */

const T = K.two_swings;
const P = K.priors;
const FREE = -Math.log(T.SECOND_RANGE);

/**
 * @param {Readings} readings
 * @param {import("./posterior.js").Posterior} posterior
 * @param {Set<number>} apart cells off the line as a whole
 */
export function findTwoSwings(readings, posterior, apart) {
  /** @type {Found[]} */
  const found = [];
  const spread = means(posterior.log_sd, posterior.cells).map(Math.exp);
  for (const cell of hitCells(readings)) {
    const mine = upTo(readings.cell.length).filter((i) => readings.cell[i] === cell && readings.count[i] === 1);
    if (mine.length < T.LEAST_READINGS || readings.piles.has(cell)) continue;
    const level = usualSpread(readings, spread, cell, mean(mine.map((i) => readings.noise[i])));
    const rate = mean(column(posterior.mishits, posterior.cells, cell));
    const y = mine.map((i) => readings.logCarry[i] - posterior.shift[i]);
    const [low, high] = quantiles(y, [0.1, 0.9]);
    if ((high - low) / 2.563 < T.WIDE * level || weigh(y, level, rate, null, true).gain < T.SUSPECT) continue;
    const { gain, best } = weigh(y, level, rate, apart.has(cell) ? null : othersOf(readings, cell));
    const bar = apart.has(cell) ? Math.max(T.BAR, T.BAR_APART) : T.BAR;
    if (gain >= bar) found.push({ cell, centres_m: [Math.exp(best[0]), Math.exp(best[1])] });
  }
  return found;
}

/** The spread that the club's other shots make likely. @param {Readings} readings @param {number[]} spread @param {number} cell @param {number} noise */
function usualSpread(readings, spread, cell, noise) {
  const swings = readings.swings.length;
  const hit = hitCells(readings);
  const others = hit.filter((one) => one !== cell && Math.floor(one / swings) === Math.floor(cell / swings));
  const usual = median((others.length >= 2 ? others : hit).map((one) => spread[one]));
  return Math.hypot(usual, Math.sqrt(noise));
}

/** @param {Readings} readings @param {number} cell @returns {[number, number] | null} */
function othersOf(readings, cell) {
  const rest = without(readings, cell);
  if (!rest.cell.length) return null;
  const drawn = column(infer(rest, { part: true }).drawn, readings.names.length, cell);
  return [mean(drawn), Math.hypot(sd(drawn), T.PREDICTION_FLOOR)];
}

/**
 * Log Bayes factor of two centres over one, and the likeliest two.
 * @param {number[]} y
 * @param {number} level
 * @param {number} rate
 * @param {[number, number] | null} others
 * @param {boolean} [quick]
 */
function weigh(y, level, rate, others, quick = false) {
  const [spreads, shares] = quick ? [T.SPREADS.slice(1, 2), T.SHARES.slice(1, 2)] : [T.SPREADS, T.SHARES];
  const [least, most] = [Math.min(...y) - 0.05, Math.max(...y) + 0.05];
  const step = (most - least) / (T.STEPS - 1);
  const centres = upTo(T.STEPS).map((k) => least + k * step);
  const placed = centres.map((centre) =>
    others ? -0.5 * ((centre - others[0]) / others[1]) ** 2 - Math.log(others[1] * Math.sqrt(2 * Math.PI)) : FREE,
  );
  /** @type {number[]} */
  const one = [];
  /** @type {number[]} */
  const two = [];
  let best = [Math.min(...y), Math.max(...y)];
  let bestValue = -Infinity;
  for (const factor of spreads) {
    const wide = level * factor;
    const price = -0.5 * (Math.log(factor) / T.SPREAD_DOUBT) ** 2;
    const good = centres.map((centre) => y.map((ball) => logT(ball - centre, wide)));
    const bad = centres.map((centre) => y.map((ball) => logMishit(ball - centre, wide)));
    const [fine, foul] = [Math.log1p(-rate), Math.log(rate)];
    const single = centres.map(
      (_, k) => placed[k] + y.reduce((s, _ball, i) => s + logAdd(fine + good[k][i], foul + bad[k][i]), 0),
    );
    one.push(price + logSum(single));
    const pairs = pairsOf(centres, wide, good);
    for (const share of pairs.length ? shares : []) {
      const [mine, other] = [Math.log(share), Math.log(1 - share)];
      const total = pairs.map(({ low, high, fair }) => {
        if (!fair) return -Infinity;
        let value = logAdd(placed[low] + FREE, placed[high] + FREE) - Math.log(2);
        for (let i = 0; i < y.length; i++) {
          const mixed = logAdd(mine + good[low][i], other + good[high][i]);
          value += logAdd(fine + mixed, foul + logAdd(mine + bad[low][i], other + bad[high][i]));
        }
        return value;
      });
      two.push(price - Math.log(shares.length) + logSum(total));
      const k = total.indexOf(Math.max(...total));
      if (price + total[k] > bestValue) {
        best = [centres[pairs[k].low], centres[pairs[k].high]];
        bestValue = price + total[k];
      }
    }
  }
  if (!two.length) return { gain: -Infinity, best };
  return { gain: logSum(two) + 2 * Math.log(step) - logSum(one) - Math.log(step), best };
}

/** Pairs of centres far enough apart, and whether each has a fair share of the balls. @param {number[]} centres @param {number} wide @param {number[][]} good */
function pairsOf(centres, wide, good) {
  const pairs = [];
  for (let low = 0; low < centres.length; low++) {
    for (let high = 0; high < centres.length; high++) {
      if (!(centres[high] > centres[low] + T.LEAST_GAP * wide)) continue;
      const lower = mean(good[low].map((one, i) => Number(one > good[high][i])));
      pairs.push({ low, high, fair: lower >= T.LEAST_SHARE && lower <= 1 - T.LEAST_SHARE });
    }
  }
  return pairs;
}

/** Log of the gamma function at half and whole numbers. @param {number} x */
function logGamma(x) {
  let total = x % 1 ? 0.5 * Math.log(Math.PI) : 0;
  for (let k = x % 1 || 1; k < x; k++) total += Math.log(k);
  return total;
}

const DF = P.TAIL_DF;
const T_TOP = logGamma((DF + 1) / 2) - logGamma(DF / 2) - 0.5 * Math.log(DF * Math.PI);
/** @param {number} z @param {number} wide */
function logT(z, wide) {
  const scale = wide * Math.sqrt((DF - 2) / DF);
  return T_TOP - Math.log(scale) - ((DF + 1) / 2) * Math.log1p((z / scale) ** 2 / DF);
}

/** @param {number} z @param {number} wide */
const logMishit = (z, wide) =>
  logSum(
    T.KIND_SHIFT.map((/** @type {number} */ shift, /** @type {number} */ k) => {
      const variance = T.KIND_VARIANCE[k] + wide ** 2;
      return -0.5 * ((z - shift) ** 2 / variance + Math.log(variance)) + T.KIND_LOG_SHARE[k];
    }),
  );

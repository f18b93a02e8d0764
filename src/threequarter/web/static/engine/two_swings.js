// Two swings under one name: balls of one cell that gather about two centres instead of one. As `chart/two_swings.py`.
import { K } from "./constants.js";
import { logAdd, logSum, mean, median, quantiles, sd, upTo, within } from "./numbers.js";
import { column, hitCells, infer, means } from "./posterior.js";
import { without } from "./prepare.js";

/** @typedef {import("./prepare.js").Readings} Readings */
/** @typedef {{ cell: number, centres_m: [number, number] }} Found */

const T = K.two_swings;
const P = K.priors;

/** @typedef {{ centre: [number, number] | null, spreads: [number, number][], rates: [number, number][] }} Expected */

/**
 * @param {Readings} readings
 * @param {import("./posterior.js").Posterior} posterior
 */
export function findTwoSwings(readings, posterior) {
  /** @type {Found[]} */
  const found = [];
  const spread = means(posterior.log_sd, posterior.cells).map(Math.exp);
  for (const cell of hitCells(readings)) {
    const mine = upTo(readings.cell.length).filter((i) => readings.cell[i] === cell && readings.count[i] === 1);
    if (mine.length < T.LEAST_READINGS || readings.piles.has(cell)) continue;
    const noise = mean(mine.map((i) => readings.noise[i]));
    const level = usualSpread(readings, spread, cell, noise);
    const rate = mean(column(posterior.mishits, posterior.cells, cell));
    const y = mine.map((i) => readings.logCarry[i] - posterior.shift[i]);
    const [low, high] = quantiles(y, [0.1, 0.9]);
    if ((high - low) / 2.563 < T.WIDE * level) continue;
    if (weigh(y, { centre: null, spreads: [[level, 1]], rates: [[rate, 1]] }).gain < T.SUSPECT) continue;
    const { gain, best } = weigh(y, expectedOf(readings, posterior, cell, noise));
    if (gain >= T.BAR) found.push({ cell, centres_m: [Math.exp(best[0]), Math.exp(best[1])] });
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

/**
 * What the other cells alone make likely; where there are none, what the balls themselves say of spread and mishits.
 * @param {Readings} readings @param {import("./posterior.js").Posterior} posterior @param {number} cell @param {number} noise
 * @returns {Expected}
 */
function expectedOf(readings, posterior, cell, noise) {
  const rest = without(readings, cell);
  const told = rest.cell.length ? infer(rest, { part: true }) : posterior;
  const [drawn, logSd, mishits] = [told.drawn, told.log_sd, told.mishits].map((one) => column(one, told.cells, cell));
  const [middle, wide] = [mean(logSd), Math.hypot(sd(logSd), T.SPREAD_DOUBT)];
  const [least, most] = T.RATE_ENDS;
  const rates = quantiles(mishits, T.RATE_LEVELS).map((one) => within(one, least, most));
  return {
    centre: rest.cell.length ? [mean(drawn), Math.hypot(sd(drawn), T.PREDICTION_FLOOR)] : null,
    spreads: T.SPREAD_STEPS.map((/** @type {number} */ one, /** @type {number} */ k) => [
      Math.hypot(Math.exp(middle + one * wide), Math.sqrt(noise)),
      T.SPREAD_WEIGHTS[k],
    ]),
    rates: rates.map((one) => [one, 1 / rates.length]),
  };
}

/** Log density of a centre: near where the other cells put it or, as cells do, off it. @param {number} centre @param {[number, number] | null} where */
function placedAt(centre, where) {
  if (!where) return 0;
  const off = centre - where[0];
  const near = Math.log(1 - P.OFF_SHARE) - 0.5 * (off / where[1]) ** 2 - Math.log(where[1]);
  const away = Math.log(P.OFF_SHARE) - 0.5 * (off / P.FREE_SD) ** 2 - Math.log(P.FREE_SD);
  return logAdd(near, away) - 0.5 * Math.log(2 * Math.PI);
}

/**
 * Log Bayes factor of two centres over one, and the likeliest two.
 * @param {number[]} y
 * @param {Expected} expected
 */
function weigh(y, expected) {
  const [least, most] = [Math.min(...y) - T.BEYOND, Math.max(...y) + T.BEYOND];
  const centres = upTo(T.STEPS).map((k) => least + (k * (most - least)) / (T.STEPS - 1));
  const step = Math.log(centres[1] - centres[0]);
  const placed = centres.map((centre) => placedAt(centre, expected.centre));
  const shares = expected.spreads.length > 1 ? T.SHARES : T.SHARES.slice(1, 2);
  /** @type {number[]} */
  const one = [];
  /** @type {number[]} */
  const two = [];
  let best = [Math.min(...y), Math.max(...y)];
  let bestValue = -Infinity;
  for (const [wide, weight] of expected.spreads) {
    const good = centres.map((centre) => y.map((ball) => logT(ball - centre, wide)));
    const bad = centres.map((centre) => y.map((ball) => logMishit(ball - centre, wide)));
    const pairs = pairsOf(centres, wide, good);
    for (const [rate, chance] of expected.rates) {
      const price = Math.log(weight * chance);
      const [fine, foul] = [Math.log1p(-rate), Math.log(rate)];
      const each = good.map((row, k) => row.map((value, i) => logAdd(fine + value, foul + bad[k][i])));
      one.push(price + step + logSum(each.map((row, k) => row.reduce((a, b) => a + b, 0) + placed[k])));
      for (const share of pairs.length ? shares : []) {
        const [mine, other] = [Math.log(share), Math.log(1 - share)];
        const total = pairs.map(({ low, high, fair }) => {
          if (!fair) return -Infinity;
          let value = logAdd(placed[low], placed[high]) - Math.log(2) + apartBy(centres[high] - centres[low]);
          for (let i = 0; i < y.length; i++) value += logAdd(mine + each[low][i], other + each[high][i]);
          return price - Math.log(shares.length) + value;
        });
        two.push(2 * step + logSum(total));
        const k = total.indexOf(Math.max(...total));
        if (total[k] > bestValue) [best, bestValue] = [[centres[pairs[k].low], centres[pairs[k].high]], total[k]];
      }
    }
  }
  return { gain: two.length ? logSum(two) - logSum(one) : -Infinity, best };
}

/** Log density of how far apart two swings lie. @param {number} gap */
const apartBy = (gap) => -0.5 * (gap / T.GAP_SD) ** 2 - Math.log(T.GAP_SD * Math.sqrt(Math.PI / 2));

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

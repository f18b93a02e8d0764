// From balls to a chart: the same that `chart/fit.py` makes of them, cell by cell and ball by ball.
import { drift90, judged, notesOnDrift } from "./checks.js";
import { K } from "./constants.js";
import { call } from "./core.js";
import { below, belowT, between, mean, quantiles, rounded, sd, smallest, sum, upTo, within } from "./numbers.js";
import { column, disagreeing, infer, othersSay } from "./posterior.js";
import { prepare } from "./prepare.js";
import { findTwoSwings } from "./two_swings.js";
import { verdictsOf } from "./verdicts.js";

/** @typedef {import("./prepare.js").Readings} Readings */
/** @typedef {import("./prepare.js").Message} Message */
/** @typedef {import("./posterior.js").Posterior} Posterior */
/** @typedef {Record<string, any>} Cell fields as in `chart/result.py` */
/** @typedef {Record<string, any>} Chart */

const P = K.priors;
const { ENDS, NEWTON, NEXT_WIDER, POINTS, SEED, WARM_FROM } = K.fit;

/**
 * @param {import("./prepare.js").Ball[]} balls carries, in the order hit
 * @param {import("./prepare.js").Ball[]} also shots to chart without a ball
 * @returns {Chart}
 */
export function fitChart(balls, also = []) {
  const readings = prepare(balls, also);
  const warm = Math.min(...readings.order) >= WARM_FROM ? true : null;
  let posterior = infer(readings, { warm });
  const [disagree, others] = [disagreeing(posterior), othersSay(posterior)];
  const freed = new Set(upTo(posterior.cells).filter((i) => disagree[i] > K.result.FREED_FROM));
  if (freed.size) posterior = infer(readings, { warm, freed });
  const two = findTwoSwings(readings, posterior);
  if (two.length) posterior = infer(doubted(readings, two), { warm, freed });
  return chartOf({ readings, posterior, two, freed, disagree, others }, balls);
}

/** Balls of two swings say little about one. @param {Readings} readings @param {import("./two_swings.js").Found[]} two @returns {Readings} */
function doubted(readings, two) {
  const doubt = new Map(two.map(({ cell, centres_m: [low, high] }) => [cell, Math.log(high / low) / 2]));
  const noise = readings.noise.map(
    (/** @type {number} */ one, /** @type {number} */ i) => one + (doubt.get(readings.cell[i]) || 0) ** 2,
  );
  return { ...readings, noise };
}

/** @param {Record<string, any>} found @param {import("./prepare.js").Ball[]} balls @returns {Chart} */
function chartOf(found, balls) {
  const { readings, posterior, disagree, others } = found;
  const shared = sharedOf(readings);
  const cells = cellsOf(found, shared);
  const drift = drift90(readings, posterior);
  const { failed, asked } = judged(readings, posterior, disagree, others);
  return {
    cells: cells.map((one) => one.cell),
    verdicts: verdictsOf(readings, posterior, balls),
    clubs: readings.clubs,
    swings: readings.swings,
    logCarry: cells.map((one) => one.stock),
    logSd: cells.map((one) => one.logSd),
    mishits: cells.map((one) => one.mishits),
    shared,
    another_day_sd: anotherDaySd(readings, posterior),
    drift90: drift,
    checks: failed,
    notes: [...players(balls), ...asked, ...notesOnDrift(drift, readings), ...notesOf(readings)],
  };
}

/** Relative SD of what another day adds to a stock carry. @param {Readings} readings @param {Posterior} posterior */
function anotherDaySd(readings, posterior) {
  const perDay = (1 + P.DAY_SWING_PART ** 2) * (1 + 1 / readings.days);
  return Math.sqrt(mean(posterior.day_sd.map((/** @type {number} */ one) => one * one)) * perDay);
}

/** Relative SD of the error that all balls of a cell share; a cell never hit has that of the whole session. @param {Readings} readings */
function sharedOf(readings) {
  const size = (/** @type {number[]} */ values) => Math.sqrt(mean(values.map((one) => one * one)));
  return readings.names.map((/** @type {any} */ _, /** @type {number} */ i) => {
    const mine = readings.shared.filter((/** @type {any} */ __, /** @type {number} */ row) => readings.cell[row] === i);
    return size(mine.length ? mine : readings.shared);
  });
}

/** @param {Record<string, any>} found @param {number[]} shared */
function cellsOf({ readings, posterior, two, freed, disagree, others }, shared) {
  const { cells, keep, soft } = posterior;
  const swings = readings.swings.length;
  const drawn = call("normals", [SEED, keep * (2 + swings)], keep * (2 + swings));
  const strike = goodStrike(mean(soft));
  const both = new Map(two.map((/** @type {any} */ one) => [one.cell, one.centres_m]));
  const wide = Math.sqrt(1 + 1 / readings.days);
  const shiftOf = (/** @type {number} */ swing) =>
    posterior.day_sd.map((/** @type {number} */ day, /** @type {number} */ k) => {
      const at = k * (2 + swings);
      return day * wide * (drawn[at + 1] + P.DAY_SWING_PART * drawn[at + 2 + swing]);
    });
  const shifts = upTo(swings).map(shiftOf);
  return upTo(cells).map((i) => {
    const of = (/** @type {string} */ name) => column(posterior[name], cells, i);
    const [ownSd, rate, centre, variance, last] = ["log_sd", "mishits", "centre", "variance", "last_day"].map(of);
    const lower = ownSd.map((one, k) => soft[k] * P.SOFT_SHIFT * Math.exp(one));
    const stock = of("drawn").map((one, k) => one + lower[k] + drawn[k * (2 + swings)] * shared[i]);
    const logSd = ownSd.map((one, k) => one + 0.5 * Math.log(widerBy(soft[k])));
    const middles = centre.map((one, k) => one + lower[k]);
    const spreads = variance.map((one) => Math.sqrt(one + shared[i] ** 2));
    const [low, middle, high] = mixtureQuantiles(middles, spreads, stock, [0.05, 0.5, 0.95]).map(Math.exp);
    const here = stock.map((one, k) => one - lower[k] + last[k]);
    const shift = shifts[i % swings];
    const [rateLow, rateHigh] = quantiles(rate, ENDS);
    const cell = {
      ...shotOf(readings, i),
      stock_carry_m: middle,
      stock90_m: { low, high },
      next90_m: nextBall(here, ownSd, strike),
      another_day90_m: interval(
        quantiles(
          stock.map((one, k) => one + shift[k]),
          ENDS,
        ).map(Math.exp),
      ),
      next_another_day90_m: nextBall(
        here.map((one, k) => one + shift[k]),
        ownSd,
        strike,
      ),
      good_sd_m: Math.exp(mean(logSd)) * middle,
      mishit_rate: mean(rate),
      mishit_rate90: interval([rateLow, rateHigh]),
      disagree_chance: disagree[i],
      as_hit: freed.has(i),
      two_swings_m: both.get(i) || null,
      told: freed.has(i) ? [{ code: "chart.cell.as_hit", others_m: others[i] }] : [],
    };
    return { cell, stock, logSd, mishits: rate };
  });
}

/** Variance of good strikes and soft ones over that of good ones. @param {number} soft */
const widerBy = (soft) => 1 - soft + soft * P.SOFT_SD ** 2 + soft * (1 - soft) * P.SOFT_SHIFT ** 2;

/** @param {number[]} ends */
const interval = ([low, high]) => ({ low, high });

/** @param {Readings} readings @param {number} i */
function shotOf(readings, i) {
  const { club, swing, loft_deg } = readings.names[i];
  const mine = upTo(readings.cell.length).filter((row) => readings.cell[row] === i);
  return { club, swing, loft_deg, balls: sum(mine.map((row) => readings.count[row])), readings: mine.length };
}

/**
 * Quantiles of an even mixture of normals: those of draws from it, made smoother by short Newton steps.
 * @param {Float64Array} middles
 * @param {Float64Array} spreads
 * @param {Float64Array} draws
 * @param {number[]} levels
 */
function mixtureQuantiles(middles, spreads, draws, levels) {
  const whole = sd(draws);
  const found = quantiles(draws, levels).map((from, at) => {
    let x = from;
    for (let step = 0; step < NEWTON; step++) {
      let [off, density] = [0, 0];
      for (let k = 0; k < middles.length; k++) {
        const z = (x - middles[k]) / spreads[k];
        off += below(z);
        density += Math.exp(-0.5 * z * z) / spreads[k];
      }
      density /= middles.length * Math.sqrt(2 * Math.PI);
      const move = (off / middles.length - levels[at]) / Math.max(density, 0.02 / whole);
      x -= within(move, -0.15 * whole, 0.15 * whole);
    }
    return x;
  });
  return found.sort((a, b) => a - b);
}

/** Quantiles of a good strike about its centre, in spreads. @param {number} soft */
function goodStrike(soft) {
  const steps = upTo(101).map((i) => -5 + i / 10);
  const scale = Math.sqrt((P.TAIL_DF - 2) / P.TAIL_DF);
  const chances = steps.map(
    (z) => (1 - soft) * belowT(P.TAIL_DF, z / scale) + soft * below((z - P.SOFT_SHIFT) / P.SOFT_SD),
  );
  return upTo(POINTS).map((i) => between((i + 0.5) / POINTS, chances, steps));
}

/** The ends of nine in ten of the next good balls. @param {Float64Array} centres @param {Float64Array} logSd @param {number[]} strike */
function nextBall(centres, logSd, strike) {
  const count = centres.length;
  const balls = new Float64Array(POINTS * count);
  for (let k = 0; k < count; k++) {
    const spread = NEXT_WIDER * Math.exp(logSd[k]);
    for (let s = 0; s < POINTS; s++) balls[s * count + k] = centres[k] + spread * strike[s];
  }
  return interval(
    ENDS.map((/** @type {number} */ end) => Math.exp(smallest(balls, rounded(end * (balls.length - 1))))),
  );
}

/** @param {import("./prepare.js").Ball[]} balls @returns {Message[]} */
function players(balls) {
  /** @type {Map<string, string>} */
  const names = new Map();
  for (const { player, use } of balls) {
    if (use === false || !player) continue;
    const key = player.normalize("NFKC").toLowerCase().split(/\s+/).filter(Boolean).join(" ");
    if (!names.has(key)) names.set(key, player);
  }
  if (names.size < 2) return [];
  const code = names.size > 4 ? "chart.many_players" : "chart.few_players";
  return [{ code, count: names.size, names: [...names.values()].slice(0, 4) }];
}

/** @param {Readings} readings @returns {Message[]} */
function notesOf(readings) {
  /** @type {Message[]} */
  const notes = [];
  const told = (/** @type {string} */ name, /** @type {(name: any) => boolean} */ which) => [
    ...new Set(readings.names.filter(which).map((/** @type {any} */ one) => one[name])),
  ];
  const guessed = told("club", (name) => name.loft_deg === null);
  if (guessed.length) notes.push({ code: "chart.no_loft", clubs: guessed });
  const own = told("swing", (name) => name.length.reach === null);
  if (own.length && readings.swings.length > 1) notes.push({ code: "chart.own_swings", swings: own });
  if (Math.max(...readings.shared) > 0) {
    const squares = readings.shared.map((/** @type {number} */ one) => one * one);
    notes.push({ code: "chart.shared_error", wide_share: 1.645 * Math.sqrt(mean(squares)) });
  }
  if (readings.piles.size) notes.push({ code: "chart.piles" });
  return notes;
}

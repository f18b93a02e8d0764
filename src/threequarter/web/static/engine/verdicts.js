// How each ball was struck, and what speaks against it; and the counts of mishits. As `chart/verdicts.py`, `chart/mishits.py`.
import { K } from "./constants.js";
import { shotKey } from "./labels.js";
import { mean, quantiles, sum, upTo } from "./numbers.js";
import { means } from "./posterior.js";
import { launchFactors, sideFactors } from "./signs.js";

/** @typedef {import("./prepare.js").Readings} Readings */
/** @typedef {import("./prepare.js").Message} Message */
/** @typedef {import("./prepare.js").Ball} Ball */
/** @typedef {Record<string, any>} Verdict fields as in `chart/result.py` */

const P = K.priors;
const { CALLED_BELOW, DOUBTFUL_BELOW, USABLE } = K.result;
const { FAR_OFF, SPEAKS } = K.verdicts;

/**
 * @param {Readings} readings
 * @param {import("./posterior.js").Posterior} posterior
 * @param {Ball[]} balls
 * @returns {Verdict[]}
 */
export function verdictsOf(readings, posterior, balls) {
  const noted = new Map(balls.filter((ball) => ball.strike).map((ball) => [ball.number, ball.strike]));
  const why = reasons(readings, posterior);
  const told = posterior.classes.flatMap((/** @type {number[]} */ classes, /** @type {number} */ i) => {
    const of = (/** @type {string} */ kind) => sum(classes.slice(1).filter((_, k) => P.KINDS[k] === kind));
    const one = { good: classes[0], fat: of("fat"), thin: of("thin"), toe: of("toe"), heavy: readings.heavy[i] };
    return readings.numbers[i].map((/** @type {number} */ number) => {
      const note = noted.get(number) ?? null;
      const sign = signOf(one.good, note);
      return { number, ...one, noted: note, why: why[i], sign, mishit: sign === "called" };
    });
  });
  return told.sort((/** @type {Verdict} */ a, /** @type {Verdict} */ b) => a.number - b.number);
}

/** @param {number} good @param {string | null} noted */
function signOf(good, noted) {
  if (noted !== null) return USABLE.includes(noted) ? "good" : "called";
  if (good < CALLED_BELOW) return "called";
  return good < DOUBTFUL_BELOW ? "doubtful" : "good";
}

/** @param {Readings} readings @param {import("./posterior.js").Posterior} posterior */
function reasons(readings, posterior) {
  const centre = means(posterior.centre, posterior.cells);
  const spread = means(posterior.log_sd, posterior.cells).map(Math.exp);
  const [aside, flight] = [sideFactors(readings), launchFactors(readings)].map((factor) => factor.map(speaking));
  return readings.cell.map((/** @type {number} */ cell, /** @type {number} */ i) => {
    /** @type {Message[]} */
    const why = [];
    if (posterior.classes[i][0] >= DOUBTFUL_BELOW) return why;
    const usual = centre[cell] + posterior.shift[i];
    const carry = Math.exp(readings.logCarry[i]);
    const gap = carry - Math.exp(usual);
    if (Math.abs(readings.logCarry[i] - usual) > FAR_OFF * spread[cell])
      why.push({ code: gap < 0 ? "chart.why.short" : "chart.why.long", by_m: Math.abs(gap) });
    if (aside[i] > SPEAKS) why.push({ code: "chart.why.side", side_m: Math.abs(readings.side[i]) * carry });
    if (flight[i] > SPEAKS) why.push({ code: "chart.why.flight" });
    return why;
  });
}

/** Log odds for a mishit against a good strike that one sign gives. @param {number[]} factor */
const speaking = (factor) =>
  Math.log(
    sum(P.KIND_SHARE.map((/** @type {number} */ share, /** @type {number} */ k) => share * Math.exp(factor[k + 1]))),
  ) - factor[0];

/** The player's share of mishits over the shots whose balls were seen one by one; null where there are none. @param {Record<string, any>} chart */
export function pooledShare(chart) {
  const seen = chart.cells.map((/** @type {any} */ cell) => (cell.balls === cell.readings ? cell.balls : 0));
  const all = sum(seen);
  if (!all) return null;
  return sum(
    chart.mishits.map((/** @type {Float64Array} */ draws, /** @type {number} */ i) => (mean(draws) * seen[i]) / all),
  );
}

/**
 * Counts that add up: read, charted, unused, seen one by one; mishits noted or called, by shot.
 * @param {Record<string, any>} chart
 * @param {Ball[]} balls
 */
export function mishitsOf(chart, balls) {
  const verdicts = new Map(chart.verdicts.map((/** @type {Verdict} */ one) => [one.number, one]));
  /** @type {Map<string, Verdict[]>} */
  const shots = new Map();
  let [read, charted] = [0, 0];
  for (const ball of balls) {
    const count = ball.count ?? 1;
    read += count;
    const verdict = verdicts.get(ball.number);
    if (ball.use === false || !verdict) continue;
    charted += count;
    if (count === 1) shots.set(shotKey(ball), [...(shots.get(shotKey(ball)) || []), verdict]);
  }
  const mine = chart.cells.map((/** @type {any} */ cell) => shots.get(shotKey(cell)) || []);
  const byShot = upTo(mine.length)
    .filter((i) => mine[i].length)
    .map((i) => countsOf(chart.cells[i], mine[i]));
  const seen = sum(byShot.map((one) => one.balls));
  let [share, share90] = [/** @type {number | null} */ (null), /** @type {number[] | null} */ (null)];
  if (seen) {
    const draws = chart.mishits[0].map((/** @type {any} */ _, /** @type {number} */ k) =>
      sum(mine.map((/** @type {any[]} */ one, /** @type {number} */ i) => (chart.mishits[i][k] * one.length) / seen)),
    );
    [share, share90] = [mean(draws), quantiles(draws, [0.05, 0.95])];
  }
  const of = (/** @type {"mishits" | "doubtful"} */ name) => sum(byShot.map((one) => one[name]));
  return {
    read,
    charted,
    unused: read - charted,
    seen,
    called: of("mishits"),
    doubtful: of("doubtful"),
    share,
    share90,
    byShot,
  };
}

/** @param {any} cell @param {Verdict[]} verdicts */
function countsOf(cell, verdicts) {
  const open = verdicts.filter((one) => one.noted === null);
  return {
    cell,
    balls: verdicts.length,
    mishits: verdicts.filter((one) => one.mishit).length,
    doubtful: open.filter((one) => one.sign === "doubtful").length,
  };
}

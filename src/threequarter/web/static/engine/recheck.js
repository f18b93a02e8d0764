// Does an old chart still hold? As `practice/recheck.py`, for the bounds of error that it states.
import { K } from "./constants.js";
import { shotKey } from "./labels.js";
import { between, logAdd, logGammaOfHalf, logSum, mean, sortedBy, sum, upTo, variance } from "./numbers.js";

/** @typedef {Record<string, any>} Chart */
/** @typedef {import("./prepare.js").Ball} Ball */
/** @typedef {import("./prepare.js").Message} Message */
/** @typedef {{ y: number, cell: number, club: string, swing: string }} New */

const R = K.recheck;
const DF = K.priors.TAIL_DF;
/** @type {number[]} */
const GRID = R.GRID;

/**
 * What is to be said of new balls, hit on one day, against an old chart.
 * @param {Chart} old
 * @param {Ball[]} balls carries
 * @returns {{ verdict: string, told: Message[] }}
 */
export function recheck(old, balls) {
  const fresh = newOf(old, balls);
  const whole = shiftOf({ code: "recheck.all_shots" }, old, fresh, R.FALSE_ALARM);
  const named = [
    ...old.swings.map((/** @type {string} */ swing) => part({ code: "recheck.swings", swing }, fresh, "swing", swing)),
    ...old.clubs.map((/** @type {string} */ club) => part({ code: "recheck.club", club }, fresh, "club", club)),
  ].filter(({ mine }) => R.LEAST_OF_GROUP <= mine.length && mine.length < fresh.length);
  const alarm = R.FALSE_ALARM / Math.max(1, 2 * named.length);
  const groups = named.map(({ name, mine }) => shiftOf(name, old, mine, alarm));
  const moved = whole.verdict === "moved" || groups.some((group) => group.verdict === "moved");
  const verdict = moved ? "moved" : whole.verdict;
  return { verdict, told: toldOf(verdict, whole, groups, moreOf(old, fresh), balls.length - fresh.length) };
}

/** @param {Message} name @param {New[]} fresh @param {"club" | "swing"} field @param {string} value */
const part = (name, fresh, field, value) => ({ name, mine: fresh.filter((one) => one[field] === value) });

/** @param {Chart} old @param {Ball[]} balls @returns {New[]} */
function newOf(old, balls) {
  const place = new Map(old.cells.map((/** @type {any} */ cell, /** @type {number} */ i) => [shotKey(cell), i]));
  return balls.flatMap((ball) => {
    const cell = place.get(shotKey(ball));
    if (cell === undefined || ball.use === false || (ball.measured_as ?? "carry") !== "carry" || !(ball.distance_m > 0))
      return [];
    const { club, swing } = old.cells[cell];
    return [{ y: Math.log(ball.distance_m), cell, club, swing }];
  });
}

/** Log-likelihood of a common shift at each point of GRID, averaged over what is not known. @param {Chart} old @param {New[]} fresh */
function logLikelihood(old, fresh) {
  const keep = old.logCarry[0].length;
  const count = Math.min(R.WORLDS, keep);
  const worlds = upTo(count).map((k) => (count > 1 ? Math.trunc((k * (keep - 1)) / (count - 1)) : 0));
  const day = old.another_day_sd || Math.SQRT2 * R.DAY_SD;
  const shape = logGammaOfHalf(DF + 1) - logGammaOfHalf(DF) - 0.5 * Math.log(DF * Math.PI);
  const badTop = -Math.log(R.MISHIT_LOG_SD * Math.sqrt(2 * Math.PI));
  const seen = GRID.map(() => new Float64Array(count));
  worlds.forEach((world, w) => {
    for (const { y, cell } of fresh) {
      const scale = Math.exp(old.logSd[cell][world] + R.SPREAD_DRAWS[w]) * Math.sqrt((DF - 2) / DF);
      const residual = y - old.logCarry[cell][world];
      const rate = old.mishits[cell][world];
      const [top, bad] = [Math.log1p(-rate) + shape - Math.log(scale), Math.log(rate + 1e-6) + badTop];
      for (let g = 0; g < GRID.length; g++) {
        const z = residual - GRID[g];
        const good = top - ((DF + 1) / 2) * Math.log1p((z / scale) ** 2 / DF);
        seen[g][w] += logAdd(good, bad - 0.5 * ((z - R.MISHIT_LOG_SHIFT) / R.MISHIT_LOG_SD) ** 2);
      }
    }
  });
  const each = seen.map((one) => logSum(one) - Math.log(count));
  return GRID.map((at) => {
    const form = GRID.map((other) => -0.5 * ((at - other) / day) ** 2);
    const all = logSum(form);
    return logSum(form.map((one, k) => one - all + each[k]));
  });
}

/** @param {Message} name @param {Chart} old @param {New[]} fresh @param {number} alarm the rate of false alarms that is let pass */
function shiftOf(name, old, fresh, alarm) {
  const likelihood = logLikelihood(old, fresh);
  const step = Math.log1p(R.MOVE);
  const [down, none, up] = [-step, 0, step].map((at) => between(at, GRID, likelihood));
  const most = Math.max(down, up) - none;
  const early = Math.max(0, (R.ENOUGH_BALLS - fresh.length) / 16);
  const [moves, holds] = [R.MOVED_AT + Math.log(R.FALSE_ALARM / alarm), R.HOLDS_AT];
  const stays = most <= holds - R.EARLY[1] * early ? "holds" : "open";
  const verdict = most >= moves + R.EARLY[0] * early ? "moved" : stays;
  const posterior = likelihood.map((one, g) => one - 0.5 * (GRID[g] / R.SHIFT_SD) ** 2);
  const top = Math.max(...posterior);
  const weight = posterior.map((one) => Math.exp(one - top));
  const all = sum(weight);
  let run = 0;
  const cumulative = weight.map((one) => (run += one) / all);
  const [low, ratio, high] = [0.05, 0.5, 0.95].map((level) => Math.expm1(between(level, cumulative, GRID)));
  return { name, verdict, ratio, half: (high - low) / 2, balls: fresh.length };
}

/** Two balls each with the three shots that tell most. @param {Chart} old @param {New[]} fresh @returns {Message[]} */
function moreOf(old, fresh) {
  const doubt = old.cells.map((/** @type {any} */ _, /** @type {number} */ i) => {
    const hit = fresh.filter((one) => one.cell === i).length;
    return (
      (variance(old.logCarry[i]) + mean(old.logSd[i].map((/** @type {number} */ one) => Math.exp(2 * one)))) * (1 + hit)
    );
  });
  return sortedBy(doubt.length, (i) => doubt[i])
    .slice(0, 3)
    .map((i) => ({ code: "recheck.hit", club: old.cells[i].club, swing: old.cells[i].swing, balls: 2 }));
}

/** @typedef {ReturnType<typeof shiftOf>} Shift */

/** @param {string} verdict @param {Shift} whole @param {Shift[]} groups @param {Message[]} more @param {number} leftOut @returns {Message[]} */
function toldOf(verdict, whole, groups, more, leftOut) {
  const values = { balls: whole.balls, ratio_share: whole.ratio, half_share: whole.half };
  /** @type {Message[]} */
  const lines = [];
  if (verdict === "holds") lines.push({ code: "recheck.holds", ...values, move_share: R.MOVE });
  else if (verdict === "open") lines.push({ code: "recheck.not_known", ...values }, ...more);
  else if (whole.verdict === "moved") {
    const code = whole.ratio < 0 ? "recheck.add" : "recheck.take_off";
    const off = Math.abs(1 / (1 + whole.ratio) - 1);
    lines.push({ code: "recheck.moved", ...values }, { code, off_share: off }, { code: "recheck.why" });
  }
  if (verdict === "moved")
    for (const one of groups.filter((group) => group.verdict === "moved"))
      lines.push({
        code: "recheck.group_moved",
        group: one.name,
        balls: one.balls,
        ratio_share: one.ratio,
        half_share: one.half,
      });
  if (leftOut) lines.push({ code: "recheck.left_out", left_out: leftOut });
  return lines;
}

// What to hit next and when to stop. As `chart/next_ball.py`, `chart/design.py` and `chart/goal.py`.
import { K } from "./constants.js";
import { shotKey, shotName } from "./labels.js";
import { mean, median, rounded, sum, upTo } from "./numbers.js";
import { halfOf, promise } from "./meaning.js";
import { pooledShare } from "./verdicts.js";

/** @typedef {Record<string, any>} Chart */
/** @typedef {Record<string, any>} Cell */
/** @typedef {import("./prepare.js").Message} Message */

const N = K.next_ball;
const { LEAST_BALLS, Z90 } = K.design;
const { OF_SPREAD, OF_SPREAD_STRIKE_FIRST, WIDE } = K.goal;
const DF = K.priors.TAIL_DF;
const TAIL_COST = ((DF - 2) * (DF + 3)) / (DF * (DF + 1));
const square = (/** @type {number} */ x) => x * x;

/** How near the stock carry of a cell is to be known (m). @param {Cell} cell @param {number} spread @param {number} part */
const goalBy = (cell, spread, part) => Math.max(promise(cell.stock_carry_m), part * WIDE * spread * cell.stock_carry_m);

/** The joint uncertainty of shots, and what imagined balls would do to it. */
class Design {
  /** @param {Float64Array} covariance (n x n) @param {number[]} reading @param {number[]} goal @param {number[]} shared */
  constructor(covariance, reading, goal, shared) {
    this.covariance = covariance;
    this.reading = reading;
    this.goal = goal;
    this.shared = shared;
    this.n = goal.length;
  }

  /** @param {number} i */
  own = (i) => this.covariance[i * this.n + i];
  /** @param {number} i */
  half = (i) => Z90 * Math.sqrt(this.own(i) + square(this.shared[i]));
  ratio = () => Math.sqrt(mean(upTo(this.n).map((i) => square(this.half(i) / this.goal[i]))));
  floor = () => Math.sqrt(mean(upTo(this.n).map((i) => square((Z90 * this.shared[i]) / this.goal[i]))));

  /** Half of the range of a shot after so many more balls with it. @param {number} i @param {number} balls */
  after(i, balls = 1) {
    const left = this.own(i) - square(this.own(i)) / (this.own(i) + this.reading[i] / balls);
    return Z90 * Math.sqrt(Math.max(left, 0) + square(this.shared[i]));
  }

  /** How much of the mean squared ratio so many balls with each shot take away. */
  gains(balls = 1) {
    const { covariance, goal, n, reading } = this;
    const gains = new Float64Array(n);
    for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) gains[j] += square(covariance[i * n + j] / goal[i]);
    return gains.map((one, j) => (square(Z90) * one) / n / (this.own(j) + reading[j] / balls));
  }

  /** One more ball with a shot. @param {number} j */
  hit(j) {
    const { covariance, n } = this;
    const at = Float64Array.from(upTo(n), (i) => covariance[i * n + j]);
    const whole = at[j] + this.reading[j];
    for (let i = 0; i < n; i++) for (let k = 0; k < n; k++) covariance[i * n + k] -= (at[i] * at[k]) / whole;
  }

  /** Balls each shot still needs. @param {number[]} had @param {number} most */
  needs(had, most) {
    const ahead = new Design(this.covariance.slice(), this.reading, this.goal, this.shared);
    const needs = had.map((one) => Math.max(LEAST_BALLS - one, 0));
    needs.forEach((count, j) => upTo(count).forEach(() => ahead.hit(j)));
    while (ahead.ratio() > 1 && sum(needs) < most) {
      const gains = ahead.gains();
      const best = gains.indexOf(Math.max(...gains));
      ahead.hit(best);
      needs[best] += 1;
    }
    return needs;
  }
}

/** @param {Chart} chart @param {number[]} places @param {number} part */
function designOf(chart, places, part) {
  const n = places.length;
  const kept = chart.logCarry[0].length;
  const middle = places.map((i) => mean(chart.logCarry[i]));
  const off = places.map((i, k) => chart.logCarry[i].map((/** @type {number} */ one) => one - middle[k]));
  const covariance = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let total = 0;
      for (let k = 0; k < kept; k++) total += off[i][k] * off[j][k];
      const value = total / (kept - 1) - chart.shared[places[i]] * chart.shared[places[j]];
      covariance[i * n + j] = covariance[j * n + i] = i === j ? Math.max(value, 1e-8) : value;
    }
  }
  const spread = places.map((i) => Math.exp(median(chart.logSd[i])));
  const goals = places.map((i, k) => goalBy(chart.cells[i], spread[k], part));
  const aimed = places.map((i, k) => goalBy(chart.cells[i], spread[k], N.AIMED * part) / chart.cells[i].stock_carry_m);
  const reading = places.map((i) => {
    const spread2 = mean(chart.logSd[i].map((/** @type {number} */ one) => Math.exp(2 * one)));
    return (TAIL_COST * spread2) / (1 - mean(chart.mishits[i]));
  });
  return {
    design: new Design(
      covariance,
      reading,
      aimed,
      places.map((i) => chart.shared[i]),
    ),
    goals,
  };
}

/** The player's share of mishits, null where too few balls were seen one by one. @param {Chart} chart */
function mishitShare(chart) {
  const seen = sum(chart.cells.map((/** @type {Cell} */ cell) => (cell.balls === cell.readings ? cell.balls : 0)));
  return seen >= N.JUDGED_BALLS ? pooledShare(chart) : null;
}

/** @param {number | null} share */
const strikeComesFirst = (share) => share !== null && share > N.MANY_MISHITS;

/** For each cell whether its number is known less well than the goal: what a "?" says. @param {Chart} chart @returns {boolean[]} */
export function lessSure(chart) {
  const part = strikeComesFirst(mishitShare(chart)) ? OF_SPREAD_STRIKE_FIRST : OF_SPREAD;
  return chart.cells.map(
    (/** @type {Cell} */ cell, /** @type {number} */ i) =>
      halfOf(cell) > goalBy(cell, Math.exp(median(chart.logSd[i])), part),
  );
}

/** For each cell: half of its 90 % range (m) after one more ball with it. @param {Chart} chart */
export function afterOneMore(chart) {
  const { design } = designOf(chart, upTo(chart.cells.length), OF_SPREAD);
  return chart.cells.map((/** @type {Cell} */ cell, /** @type {number} */ i) => design.after(i) * cell.stock_carry_m);
}

/**
 * @param {Chart} chart
 * @param {import("./prepare.js").Ball[]} balls in the order hit
 * @param {Cell[]} plan the shots asked about, in the order of the chart
 * @param {boolean} [child] whether a child hits
 */
export function advise(chart, balls, plan, child = false) {
  const places = upTo(chart.cells.length).filter((i) => plan.includes(chart.cells[i]));
  const cells = places.map((i) => chart.cells[i]);
  const share = mishitShare(chart);
  const strikeFirst = strikeComesFirst(share);
  const { design, goals } = designOf(chart, places, strikeFirst ? OF_SPREAD_STRIKE_FIRST : OF_SPREAD);
  const had = cells.map((cell) => cell.balls);
  const needs = design.needs(had, N.MOST_BALLS);
  const least = sum(had.map((/** @type {number} */ one) => Math.max(LEAST_BALLS - one, 0)));
  const spent = sum(balls.map((ball) => ball.count ?? 1));
  const most = child ? N.CHILD_BALLS : N.MOST_BALLS;
  const left = most - spent;
  const state = stateOf(chart, design, needs, strikeFirst, left <= 0);
  const toGo = state === "enough" || state === "strike" ? 0 : toGoBy(sum(needs), least, design.ratio());
  const advice = {
    state,
    suggestions: blocksOf(cells, design, needs, visitsOf(cells, balls), left > 0 ? left : N.MOST_BALLS),
    doubt_ratio: design.ratio(),
    balls_to_go: toGo,
    minutes_to_go: toGo ? minutesOf(cells, needs, toGo) : 0,
    goals_m: goals,
    enough: state === "enough" || state === "strike",
    stop: ["enough", "strike", "limit"].includes(state),
    endless: state === "measure",
  };
  return { ...advice, messages: said(advice, chart, balls, share, { spent, most, child }) };
}

/** @param {Chart} chart @param {Design} design @param {number[]} needs @param {boolean} strikeFirst @param {boolean} spent */
function stateOf(chart, design, needs, strikeFirst, spent) {
  if (spent && sum(needs)) return "limit";
  if (chart.checks.length) return spent ? "limit" : "check";
  if (design.floor() > 1) return "measure";
  if (!sum(needs)) return strikeFirst ? "strike" : "enough";
  return "hit";
}

/** @typedef {{ times: number[], last: number | null, run: number }} Visits how often each shot was turned to, the last one, and how many in a row */

/** @param {Cell[]} cells @param {import("./prepare.js").Ball[]} balls @returns {Visits} */
function visitsOf(cells, balls) {
  const place = new Map(cells.map((cell, i) => [shotKey(cell), i]));
  const times = cells.map(() => 0);
  let [last, before, run] = [/** @type {number | null} */ (null), "", 0];
  for (const ball of [...balls].sort((a, b) => (a.day ?? 1) - (b.day ?? 1) || a.number - b.number)) {
    const shot = shotKey(ball);
    const at = place.get(shot);
    last = at ?? last;
    run = (shot === before ? run : 0) + (ball.count ?? 1);
    if (shot !== before && at !== undefined) times[at] += 1;
    before = shot;
  }
  return { times, last, run };
}

/** @param {Cell[]} cells @param {Design} design @param {number[]} needs @param {Visits} visits @param {number} most */
function blocksOf(cells, design, needs, visits, most) {
  const open = upTo(cells.length).filter((i) => needs[i]);
  const wanted = open.length ? open : upTo(cells.length);
  const gains = design.gains(N.BLOCK);
  let chosen = visits.last;
  if (chosen === null || leftOf(cells.length, needs[chosen], visits.times[chosen], visits.run) <= 0) {
    const first = wanted.filter((i) => cells[i].balls < LEAST_BALLS);
    const others = wanted.filter((i) => i !== visits.last);
    chosen = withClub(
      cells,
      [first, others, wanted].find((one) => one.length) || [],
      gains,
      visits.last,
      first.length > 0,
    );
  }
  const others = wanted.filter((i) => i !== chosen).sort((a, b) => gains[b] - gains[a]);
  return [chosen, ...others.slice(0, N.SHOWN - 1)].map((i) => blockOf(cells, design, i, needs, visits, most));
}

/** @param {number} shots @param {number} need @param {number} times @param {number} run */
function leftOf(shots, need, times, run) {
  const first = shots > N.MANY_SHOTS ? LEAST_BALLS : N.BLOCK;
  return Math.min((times <= 1 ? first : N.BLOCK) - run, need);
}

/** @param {Cell[]} cells @param {number[]} among @param {Float64Array} gains @param {number | null} last @param {boolean} firstRound */
function withClub(cells, among, gains, last, firstRound) {
  const top = (/** @type {number[]} */ of) => of.reduce((best, i) => (gains[i] > gains[best] ? i : best), of[0]);
  const best = top(among);
  const mine = last === null ? [] : among.filter((i) => cells[i].club === cells[last].club);
  if (!mine.length) return best;
  const own = top(mine);
  return firstRound || gains[own] >= N.STAY * gains[best] ? own : best;
}

/** @param {Cell[]} cells @param {Design} design @param {number} i @param {number[]} needs @param {Visits} visits @param {number} most */
function blockOf(cells, design, i, needs, visits, most) {
  const cell = cells[i];
  const [run, times] = i === visits.last ? [visits.run, visits.times[i]] : [0, visits.times[i] + 1];
  const balls = Math.min(most, Math.max(run ? 1 : 2, leftOf(cells.length, needs[i], times, run)));
  return {
    cell,
    balls,
    why: whyOf(cell, design, i, visits.times[i]),
    halfwidth_now_m: design.half(i) * cell.stock_carry_m,
    expected_halfwidth_after_m: design.after(i) * cell.stock_carry_m,
    halfwidth_after_block_m: design.after(i, balls) * cell.stock_carry_m,
  };
}

/** @param {Cell} cell @param {Design} design @param {number} i @param {number} times @returns {Message} */
function whyOf(cell, design, i, times) {
  if (cell.balls === 0) return { code: "advice.never_hit" };
  if (cell.as_hit) return { code: "advice.disagrees" };
  if (cell.balls < LEAST_BALLS) return { code: "advice.few", balls: cell.balls };
  if (times === 1) return { code: "advice.come_back" };
  if (design.half(i) > design.goal[i]) return { code: "advice.least_sure", balls: cell.balls };
  return { code: "advice.steadies" };
}

/** Balls until it is good enough, never fewer than each shot takes anyway. @param {number} total @param {number} least @param {number} ratio */
function toGoBy(total, least, ratio) {
  if (ratio <= 1 || total >= N.MOST_BALLS) return total;
  const [times, power] = N.SETTLES;
  return Math.max(least, 1, rounded(total / (times * ratio ** power)));
}

/** @param {Cell[]} cells @param {number[]} needs @param {number} balls */
function minutesOf(cells, needs, balls) {
  const clubs = new Set(cells.filter((_, i) => needs[i]).map((cell) => cell.club)).size;
  return Math.max(1, rounded((balls * N.SECONDS_A_BALL + clubs * N.CHANGE_S) / 60));
}

/** @param {Record<string, any>} advice @param {Chart} chart @returns {Message[]} */
function enoughTold(advice, chart) {
  const shots = lessSure(chart).filter(Boolean).length;
  return [
    ...(advice.state === "enough" ? [{ code: "advice.enough", promise_m: K.goal.PROMISE_M }] : []),
    ...(shots ? [{ code: "advice.less_sure", shots }] : []),
  ];
}

/** @param {Record<string, any>} advice @param {Chart} chart @param {import("./prepare.js").Ball[]} balls @param {number | null} share @param {{ spent: number, most: number, child: boolean }} limits */
function said(advice, chart, balls, share, { spent, most, child }) {
  /** @type {Message[]} */
  const told = [];
  if (share !== null && share > N.MANY_MISHITS)
    told.push({ code: advice.enough ? "advice.strike_enough" : "advice.strike", mishit_one_in: share });
  if (advice.enough) told.push(...enoughTold(advice, chart));
  else if (advice.state === "limit") {
    told.push({ code: child ? "advice.limit_child" : "advice.limit", balls: spent });
    if (advice.balls_to_go) told.push({ code: "advice.another_time", balls: advice.balls_to_go });
  } else if (advice.state === "measure") {
    const paced = balls.some((ball) => ball.measured_by === "paces");
    told.push({ code: paced ? "advice.measure_paces" : "advice.measure" });
  } else {
    const [block] = advice.suggestions;
    told.push(...chart.checks);
    told.push({
      ...{ code: "advice.next", balls: block.balls, shot: shotName(block.cell), why: block.why },
      ...{ now_m: block.halfwidth_now_m, after_m: block.halfwidth_after_block_m },
    });
    if (advice.balls_to_go) {
      const code = advice.balls_to_go <= most - spent ? "advice.to_go" : "advice.to_go_beyond";
      told.push({ code, balls: advice.balls_to_go, minutes: advice.minutes_to_go, most });
    }
  }
  return told;
}

// Mixed units: a run of balls that all lie at 0.914 or 1.094 of where the others put them. As `chart/units_check.py`.
import { K } from "./constants.js";
import { invert, mean, sortedBy, upTo } from "./numbers.js";
import { ballTime, column, fadeOf, means } from "./posterior.js";

/** @typedef {import("./prepare.js").Readings} Readings */
/** @typedef {import("./posterior.js").Posterior} Posterior */

const U = K.units_check;
const P = K.priors;

/**
 * @param {Readings} readings
 * @param {Posterior} posterior
 * @returns {{ gain: number, told: import("./prepare.js").Message | null }}
 */
export function otherUnit(readings, posterior) {
  if (readings.cell.length < 3 * U.LEAST_RUN) return { gain: -Infinity, told: null };
  const { gain, start, end, move } = bestRun(readings, posterior);
  const code = move < 0 ? "chart.check.unit_short" : "chart.check.unit_long";
  return { gain, told: { code, first_number: readings.numbers[start][0], last_number: readings.numbers[end].at(-1) } };
}

/** @param {Readings} readings @param {Posterior} posterior */
function bestRun(readings, posterior) {
  const all = sortedBy(readings.cell.length, (i) => readings.day[i] * 1e6 + readings.order[i]);
  const every = Math.max(1, Math.ceil(all.length / U.MOST_BALLS));
  const rows = all.filter((_, i) => i % every === 0);
  const n = rows.length;
  const { middle, covariance } = sessionOf(readings, posterior, rows);
  const inverse = invert(covariance, n);
  const off = rows.map((row, i) => readings.logCarry[row] - middle[i]);
  const pull = [0];
  const wide = n + 1;
  const block = new Float64Array(wide * wide); // sums of the inverse from the corner to each place
  for (let i = 0; i < n; i++) {
    let [along, pulled] = [0, 0];
    for (let j = 0; j < n; j++) {
      pulled += inverse[i * n + j] * off[j];
      along += inverse[i * n + j];
      block[(i + 1) * wide + j + 1] = block[i * wide + j + 1] + along;
    }
    pull.push(pull[i] + pulled);
  }
  const runs = runsOf(rows.map((row) => readings.cell[row]));
  const prior = Math.log(runs.length / 2);
  let best = { gain: -Infinity, start: 0, end: 0, move: 0 };
  for (const move of [Math.log(K.units.YARD_M), -Math.log(K.units.YARD_M)]) {
    for (let k = 0; k < runs.length; k += 2) {
      const [first, last] = [runs[k], runs[k + 1]];
      const weight = block[last * wide + last] + block[first * wide + first] - 2 * block[first * wide + last];
      const gain = move * (pull[last] - pull[first]) - 0.5 * move ** 2 * weight - prior;
      if (gain > best.gain) best = { gain, start: rows[first], end: rows[last - 1], move };
    }
  }
  return best;
}

/** Runs from the start or to the end, and between changes of the shot, each as two numbers (there are thousands). @param {number[]} cell */
function runsOf(cell) {
  const n = cell.length;
  const edges = [0, ...upTo(n).filter((i) => i > 0 && cell[i] !== cell[i - 1]), n];
  /** @type {number[]} */
  const runs = [];
  const take = (/** @type {number} */ first, /** @type {number} */ last) => {
    if (last - first >= U.LEAST_RUN && last - first <= n - U.LEAST_RUN) runs.push(first, last);
  };
  for (let at = 0; at <= n; at++) take(0, at);
  for (let at = 0; at <= n; at++) take(at, n);
  for (let i = 0; edges.length <= U.MOST_EDGES && i < edges.length; i++)
    for (let j = i + 1; j < edges.length; j++) take(edges[i], edges[j]);
  return runs;
}

/** Mean and covariance of cells' log centres on any one day (`chart/prior_field.py`). @param {any[]} names */
function baseOf(names) {
  const told = names.map(({ prior, length, club, swing }) => {
    const reach = length.reach || P.OWN_SWING_REACH;
    const clock = length.kind === "clock";
    const [wide, floor] = clock ? [P.CLOCK_SD, P.CLOCK_SD_FLOOR] : [P.SWING_SD, P.SWING_SD_FLOOR];
    const named = wide * Math.sqrt(1 - Math.min(reach, 1)) + floor;
    return {
      ...{ club, swing, loft: prior[0] - P.LOFT_REF_DEG, reach, bend: clock ? P.CLOCK_POWER_SD * Math.log(reach) : 0 },
      swingSd: length.reach === null ? P.OWN_SWING_SD : named,
      clubVariance: U.CLUB_SD ** 2 + (P.SLOPE_PER_DEG * prior[1]) ** 2,
    };
  });
  const shared = (/** @type {number} */ i, /** @type {number} */ j) => {
    const [a, b] = [told[i], told[j]];
    let sum = P.FULL_54_SD ** 2 + P.SLOPE_SD ** 2 * a.loft * b.loft + a.bend * b.bend;
    if (a.swing === b.swing) sum += a.swingSd * b.swingSd;
    if (a.club === b.club) sum += Math.sqrt(a.clubVariance * b.clubVariance);
    return i === j ? sum + U.CELL_SD ** 2 : sum;
  };
  const middle = told.map(({ loft, reach }) => P.FULL_54_LOG_M + P.SLOPE_PER_DEG * loft + Math.log(reach));
  return { middle, covariance: upTo(told.length).map((i) => upTo(told.length).map((j) => shared(i, j))) };
}

/** @param {Readings} readings @param {Posterior} posterior @param {number[]} rows */
function sessionOf(readings, posterior, rows) {
  const base = baseOf(readings.names);
  upTo(posterior.cells).forEach((i) => {
    const odd = Math.abs(mean(column(posterior.rest_mean, posterior.cells, i))) > P.OFF_FROM;
    if (odd) base.covariance[i][i] += P.FREE_SD ** 2;
  });
  const [time, fade] = [ballTime(readings), fadeOf(readings)];
  const spread = means(posterior.log_sd, posterior.cells).map(Math.exp);
  const n = rows.length;
  const covariance = new Float64Array(n * n);
  rows.forEach((a, i) => {
    const cell = readings.cell[a];
    rows.forEach((b, j) => {
      let sum = base.covariance[cell][readings.cell[b]];
      sum += P.DRIFT_SD ** 2 * time[a] * time[b] + 0.02 ** 2 * fade[a] * fade[b];
      if (readings.days > 1 && readings.day[a] === readings.day[b]) sum += 0.02 ** 2;
      covariance[i * n + j] = sum;
    });
    const bad = 1 - posterior.classes[a][0];
    covariance[i * n + i] += spread[cell] ** 2 / readings.count[a] + readings.noise[a] + bad * U.MISHIT_SD ** 2;
  });
  return { middle: rows.map((row) => base.middle[readings.cell[row]]), covariance };
}

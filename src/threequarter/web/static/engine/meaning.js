// What a chart means: the distances it covers, its gaps and its doubles. As `chart/meaning.py` and `chart/gaps.py`.
import { K } from "./constants.js";
import { shotName } from "./labels.js";
import { below, between, mean, median, ofSorted, sd, sortedBy, upTo, variance } from "./numbers.js";

/** @typedef {Record<string, any>} Chart */
/** @typedef {Record<string, any>} Cell */

const G = K.gaps;
const M = K.meaning;

/** The looser of 2 yards and 3 % of a carry (`chart/goal.py`). @param {number} carry */
export const promise = (carry) => Math.max(K.goal.PROMISE_M, K.goal.PROMISE_SHARE * carry);
/** @param {Cell} cell */
export const halfOf = (cell) => (cell.stock90_m.high - cell.stock90_m.low) / 2;

/** @param {Chart} chart */
export function meaningOf(chart) {
  const order = sortedBy(chart.cells.length, (i) => chart.cells[i].stock_carry_m);
  const carry = chart.logCarry.map((/** @type {Float64Array} */ draws) => draws.map(Math.exp));
  const ladder = order.map((i) => chart.cells[i]);
  const covered = { low: ladder[0].stock_carry_m, high: ladder[ladder.length - 1].stock_carry_m };
  return { covered, ladder, gaps: gapsOf(chart, order, carry), ...pairsOf(chart, order, carry) };
}

/** @param {Chart} chart @param {number[]} order @param {Float64Array[]} carry */
function pairsOf(chart, order, carry) {
  /** @type {any[]} */
  const doubles = [];
  /** @type {any[]} */
  const undecided = [];
  order.forEach((i, place) => {
    for (const j of order.slice(place + 1)) {
      const [first, second] = [chart.cells[i], chart.cells[j]];
      const middle = (first.stock_carry_m + second.stock_carry_m) / 2;
      const allowed = promise(middle);
      if (second.stock_carry_m - first.stock_carry_m > 3 * allowed) break;
      const difference = carry[i].map((one, k) => one - carry[j][k]).sort();
      const [low, at, high] = [0.05, 0.5, 0.95].map((level) => ofSorted(difference, level));
      const chance = mean(difference.map((one) => Number(Math.abs(one) <= allowed)));
      const pair = { first, second, carry_m: middle, difference_m: at, difference90_m: { low, high }, chance };
      if (chance >= M.DOUBLE_FROM) doubles.push(pair);
      else if (low < 0 && high > 0) undecided.push(pair);
    }
  });
  return { doubles, undecided };
}

const GRID = upTo(130).map((i) => 2 + 2 * i);
/** @param {number} number */
const near = (number) => Math.max(G.NEAR_M, G.NEAR_SHARE * number);

/** How far from each stock carry of GRID a number may be before the chance to end near it is halved. @param {number} given */
function reachOf(given) {
  const spread = Math.min(given, G.STEADY_SPREAD);
  return GRID.map((carry) => {
    const [close, wide] = [near(carry), spread * carry];
    const wanted = G.HALF * (2 * below(close / wide) - 1);
    let [low, high] = [0, close + 4 * wide];
    for (let step = 0; step < 40; step++) {
      const middle = (low + high) / 2;
      if (below((close - middle) / wide) - below((-close - middle) / wide) > wanted) low = middle;
      else high = middle;
    }
    return low;
  });
}

/** @param {Chart} chart @param {number[]} order @param {Float64Array[]} carry */
function gapsOf(chart, order, carry) {
  const all = Float64Array.from(chart.logSd.flatMap((/** @type {Float64Array} */ one) => [...one]));
  const reach = reachOf(Math.exp(median(all)));
  const far = order.map((i) => carry[i].map((one) => between(one, GRID, reach)));
  const tops = order.map((i, k) => carry[i].map((one, w) => one + far[k][w]));
  const bottoms = order.map((i, k) => carry[i].map((one, w) => one - far[k][w]));
  for (let k = 1; k < order.length; k++) tops[k].forEach((one, w) => (tops[k][w] = Math.max(one, tops[k - 1][w])));
  for (let k = order.length - 2; k >= 0; k--)
    bottoms[k].forEach((one, w) => (bottoms[k][w] = Math.min(one, bottoms[k + 1][w])));
  const found = [];
  for (let k = 0; k < order.length - 1; k++) {
    const chance = mean(bottoms[k + 1].map((one, w) => Number(one - tops[k][w] > G.LEAST_GAP_M)));
    if (chance <= 0.5) continue;
    const [low, high] = [median(tops[k]), median(bottoms[k + 1])];
    const [under, over] = [chart.cells[order[k]], chart.cells[order[k + 1]]];
    found.push({ low_m: low, high_m: high, chance, below: under, above: over, fillers: fill(chart, (low + high) / 2) });
  }
  return found;
}

/** What would serve a number, the surest first. @param {Chart} chart @param {number} number */
function fill(chart, number) {
  const found = [...gripped(chart, number), ...betweenSwings(chart, number)];
  const cost = (/** @type {any} */ one) => Math.abs(one.carry_m - number) / near(number) + one.half_m / number;
  return found.sort((a, b) => cost(a) - cost(b)).slice(0, 2);
}

/** @param {string} swing */
const isGripped = (swing) => G.GRIP_WORDS.some((/** @type {string} */ word) => swing.toLowerCase().includes(word));

/** @param {Chart} chart @param {number} number */
function gripped(chart, number) {
  const { off, wide, learned } = gripDown(chart);
  const found = chart.cells.flatMap((/** @type {Cell} */ cell, /** @type {number} */ i) => {
    const less = 1 - number / cell.stock_carry_m;
    if (cell.balls === 0 || isGripped(cell.swing) || !(G.GRIP_REACH[0] <= less && less <= G.GRIP_REACH[1])) return [];
    const middle = cell.stock_carry_m * (1 - off);
    const half = 1.645 * middle * Math.hypot(sd(chart.logCarry[i]), wide);
    return [{ kind: "grip_down", club: cell.club, swings: [cell.swing], carry_m: middle, half_m: half, learned }];
  });
  return found
    .sort((/** @type {any} */ a, /** @type {any} */ b) => Math.abs(a.carry_m - number) - Math.abs(b.carry_m - number))
    .slice(0, 1);
}

/** @param {Chart} chart @param {number} number */
function betweenSwings(chart, number) {
  const found = chart.clubs.flatMap((/** @type {string} */ club) => {
    const mine = chart.cells
      .filter((/** @type {Cell} */ cell) => cell.club === club && cell.balls)
      .sort((/** @type {Cell} */ a, /** @type {Cell} */ b) => a.stock_carry_m - b.stock_carry_m);
    return mine.slice(1).flatMap((/** @type {Cell} */ long, /** @type {number} */ k) => {
      const short = mine[k];
      if (!(short.stock_carry_m < number && number < long.stock_carry_m)) return [];
      const step = long.stock_carry_m - short.stock_carry_m;
      const half = Math.hypot(Math.max(halfOf(short), halfOf(long)), 0.35 * step);
      return [
        {
          step,
          kind: "between",
          club,
          swings: [short.swing, long.swing],
          carry_m: number,
          half_m: half,
          learned: false,
        },
      ];
    });
  });
  return found.sort((/** @type {any} */ a, /** @type {any} */ b) => a.step - b.step).slice(0, 1);
}

/** What gripping down takes off, its SD, and whether the player's own balls told it. @param {Chart} chart */
function gripDown(chart) {
  let [off, spread, learned] = [G.GRIP_DOWN[0], G.GRIP_DOWN[1] ** 2, false];
  chart.cells.forEach((/** @type {Cell} */ cell, /** @type {number} */ i) => {
    const plain = cell.balls && isGripped(cell.swing) ? plainOf(chart.cells, cell) : -1;
    if (plain < 0) return;
    const less = chart.logCarry[i].map(
      (/** @type {number} */ one, /** @type {number} */ k) => 1 - Math.exp(one - chart.logCarry[plain][k]),
    );
    const weight = spread / (spread + variance(less));
    [off, spread, learned] = [off + weight * (mean(less) - off), spread * (1 - weight), true];
  });
  return { off, wide: Math.sqrt(spread), learned };
}

/** The same swing with the whole grip. @param {Cell[]} cells @param {Cell} down */
function plainOf(cells, down) {
  const name = down.swing.toLowerCase();
  let best = -1;
  cells.forEach((cell, i) => {
    const fits = cell.club === down.club && !isGripped(cell.swing) && cell.balls && cell.swing;
    if (!fits || !name.includes(cell.swing.toLowerCase())) return;
    if (best < 0 || cell.swing.length > cells[best].swing.length) best = i;
  });
  return best;
}

/** @param {any} filler */
function fillerTold(filler) {
  const code = `gap.${filler.kind}${filler.learned ? "_learned" : ""}`;
  const size = { carry_m: filler.carry_m, half_m: filler.half_m };
  const [low, high] = filler.swings;
  if (filler.kind === "between") return { code, club: filler.club, low, high, ...size };
  return { code, shot: `${filler.club} ${low}`, off_share: G.GRIP_DOWN[0], ...size };
}

/** The findings, most useful first. @param {ReturnType<typeof meaningOf>} found */
export function meaningTold(found) {
  if (found.ladder.length === 1) return [{ code: "meaning.one_shot", carry_m: found.covered.low }];
  /** @type {import("./prepare.js").Message[]} */
  const lines = [
    { code: "meaning.span", shots: found.ladder.length, low_m: found.covered.low, high_m: found.covered.high },
  ];
  if (!found.gaps.length) lines.push({ code: "meaning.no_gaps" });
  for (const gap of found.gaps) {
    const names = { below: shotName(gap.below), above: shotName(gap.above) };
    lines.push({ code: "meaning.gap", low_m: gap.low_m, high_m: gap.high_m, ...names, sure_share: gap.chance });
    lines.push(gap.fillers.length ? fillerTold(gap.fillers[0]) : { code: "gap.other_loft" });
  }
  const names = (/** @type {any} */ pair) => ({ first: shotName(pair.first), second: shotName(pair.second) });
  for (const pair of found.doubles) lines.push({ code: "meaning.double", ...names(pair), carry_m: pair.carry_m });
  for (const pair of found.undecided.slice(0, M.SHOWN_UNDECIDED)) {
    const half = (pair.difference90_m.high - pair.difference90_m.low) / 2;
    lines.push({ code: "meaning.undecided", ...names(pair), apart_m: Math.abs(pair.difference_m), half_m: half });
  }
  const more = found.undecided.length - M.SHOWN_UNDECIDED;
  if (more > 0) lines.push({ code: "meaning.more_undecided", pairs: more });
  return lines;
}

/** What should be known about one cell. @param {Cell} cell */
export function cellTold(cell) {
  const lines = [...cell.told];
  if (cell.balls === 0) lines.push({ code: "cell.never_hit" });
  else if (cell.readings < M.FEW_READINGS) lines.push({ code: "cell.few", balls: cell.balls });
  if (cell.two_swings_m) {
    const [first, second] = cell.two_swings_m;
    lines.push({ code: "cell.two_swings", first_m: first, second_m: second });
  }
  return lines;
}

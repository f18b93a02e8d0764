// Balls -> arrays: one row a reading, each tied to its cell and day. As `chart/prepare.py`, held to it by a test.
import { K } from "./constants.js";
import { clubKey, parseClub, parseSwing, shotKey } from "./labels.js";
import { median } from "./numbers.js";

/** @typedef {Record<string, any>} Ball fields as in `golf/ball.py` */
/** @typedef {{ club: string, swing: string, loft_deg: number | null, prior: [number, number], length: import("./labels.js").SwingLength }} Name */
/** @typedef {{ code: string } & Record<string, any>} Message */
/** @typedef {Record<string, any>} Readings */

/** What a user is told instead of a chart. */
export class Told extends Error {
  /** @param {Message} message */
  constructor(message) {
    super(message.code);
    this.told = message;
  }
}

/**
 * @param {Ball[]} balls in the order hit
 * @param {Ball[]} also further { club, swing, loft_deg } to chart
 * @returns {Readings}
 */
export function prepare(balls, also = []) {
  const used = balls.filter((ball) => ball.use !== false);
  if (!used.length) throw new Told({ code: "chart.no_ball" });
  used.forEach(check);
  const { names, clubs, swings, place } = cells(used, also);
  const cellOf = (/** @type {Ball} */ ball) => /** @type {number} */ (place.get(shotKey(ball)));
  const rows = mergePiles(used, used.map(cellOf));
  const step = roundingOf(used.map((ball) => ball.distance_m));
  const days = [...new Set(used.map(dayOf))].sort((a, b) => a - b);
  const first = rows.map((row) => row[0]);
  const before = ballsBefore(balls);
  const count = rows.map((row) => (row.length > 1 ? row.length : (row[0].count ?? 1)));
  return {
    names,
    clubs,
    swings,
    days: days.length,
    logCarry: first.map((ball) => Math.log(ball.distance_m)),
    cell: first.map(cellOf),
    day: first.map((ball) => days.indexOf(dayOf(ball))),
    order: first.map((ball) => before.get(`${ball.number} ${dayOf(ball)}`)),
    side: first.map(sideOf),
    launch: first.map((ball) => ball.launch_deg ?? NaN),
    logSpin: first.map((ball) => (ball.backspin_rpm > 0 ? Math.log(ball.backspin_rpm) : NaN)),
    noise: first.map((ball, i) => noiseOf(ball, count[i], step)),
    shared: first.map((ball) => (ball.shared_sd_m || 0) / ball.distance_m),
    count,
    known: first.map(knownOf),
    heavy: first.map((ball) => ball.strike === "heavy"),
    numbers: rows.map((row) => row.map((ball) => ball.number)),
    piles: new Set(first.filter((_, i) => count[i] > 1).map(cellOf)),
  };
}

/** @param {Ball} ball */
const dayOf = (ball) => ball.day ?? 1;

/** @param {Ball} ball */
function check(ball) {
  const { LEAST_CARRY_M: least, MOST_CARRY_M: most } = K.prepare;
  if (ball.distance_m >= least && ball.distance_m <= most) return;
  throw new Told({ code: "chart.carry", number: ball.number, carry_m: ball.distance_m, least_m: least, most_m: most });
}

/** How many balls of its day were hit before each, by number and day. @param {Ball[]} balls */
function ballsBefore(balls) {
  const seen = new Map();
  const before = new Map();
  for (const ball of [...balls].sort((a, b) => a.number - b.number)) {
    const hit = seen.get(dayOf(ball)) || 0;
    before.set(`${ball.number} ${dayOf(ball)}`, hit);
    seen.set(dayOf(ball), hit + 1);
  }
  return before;
}

/** Without a row's cell: the others alone. @param {Readings} readings @param {number} cell @returns {Readings} */
export function without(readings, cell) {
  const keep = readings.cell.map((/** @type {number} */ one) => one !== cell);
  const rows = ["logCarry", "cell", "day", "order", "side", "launch", "logSpin", "noise", "shared", "count", "known"];
  const left = [...rows, "heavy", "numbers"].map((name) => [
    name,
    readings[name].filter((/** @type {any} */ _, /** @type {number} */ i) => keep[i]),
  ]);
  return { ...readings, ...Object.fromEntries(left) };
}

/** The loft that stands for a club on the wedges' line, and its SD. @param {number} loft @returns {[number, number]} */
function loftLine(loft) {
  const { BENDS_BELOW_DEG: bends, BEND, LESS_KNOWN, LESS_KNOWN_BELOW_DEG: below } = K.priors;
  return [loft >= bends ? loft : bends - BEND * (bends - loft), LESS_KNOWN * Math.max(0, below - loft)];
}

/** @param {string} a @param {string} b */
const byText = (a, b) => (a < b ? -1 : Number(a > b));

/** @param {Ball[]} balls @param {Ball[]} also */
function cells(balls, also) {
  /** @type {Map<string, any>} */
  const clubs = new Map();
  /** @type {Map<string, import("./labels.js").SwingLength>} */
  const swings = new Map();
  /** @type {Map<string, number[]>} */
  const carries = new Map();
  for (const ball of balls) {
    const { key } = parseSwing(ball.swing);
    carries.set(key, [...(carries.get(key) || []), Math.log(ball.distance_m)]);
  }
  for (const { club, swing, loft_deg: given = null } of [...balls, ...also]) {
    const parsed = parseClub(club);
    const loft = given ?? parsed.loft;
    const key = clubKey(club, given);
    if (!clubs.has(key)) clubs.set(key, { club, loft, prior: loft === null ? parsed.prior : loftLine(loft) });
    if (!swings.has(parseSwing(swing).key)) swings.set(parseSwing(swing).key, parseSwing(swing));
  }
  const clubOrder = [...clubs].sort(([a, one], [b, other]) => one.prior[0] - other.prior[0] || byText(a, b));
  const known = [...swings.values()].every((length) => length.reach !== null);
  const size = (/** @type {[string, any]} */ [key, length]) => (known ? length.reach : median(carries.get(key) || [0]));
  const swingOrder = [...swings].sort((a, b) => size(a) - size(b) || byText(a[0], b[0]));
  /** @type {Map<string, number>} */
  const place = new Map();
  /** @type {Name[]} */
  const names = [];
  for (const [clubIs, { club, loft, prior }] of clubOrder) {
    for (const [swingIs, length] of swingOrder) {
      place.set(`${clubIs}\n${swingIs}`, names.length);
      names.push({ club, swing: length.label, loft_deg: loft, prior, length });
    }
  }
  const labels = { clubs: clubOrder.map(([, one]) => one.club), swings: swingOrder.map(([, one]) => one.label) };
  return { names, place, ...labels };
}

/** One row a reading: a cell whose balls all bear one number is a pile typed ball by ball. @param {Ball[]} balls @param {number[]} cell */
function mergePiles(balls, cell) {
  /** @type {Map<string, Ball[]>} */
  const groups = new Map();
  const keys = balls.map((ball, i) => `${cell[i]} ${dayOf(ball)}`);
  balls.forEach((ball, i) => groups.set(keys[i], [...(groups.get(keys[i]) || []), ball]));
  const several = [...groups].filter(([, group]) => group.length >= 3);
  const equal = several.filter(([, group]) => new Set(group.map((ball) => ball.distance_m.toFixed(4))).size === 1);
  const habit = several.length > 1 && equal.length / several.length > 0.6;
  const merged = new Set(equal.filter(([, group]) => habit || group.length >= 5).map(([key]) => key));
  /** @type {Ball[][]} */
  const rows = [];
  /** @type {Map<string, Ball[]>} */
  const open = new Map();
  balls.forEach((ball, i) => {
    const row = open.get(keys[i]);
    if (row) row.push(ball);
    else {
      rows.push([ball]);
      if (merged.has(keys[i])) open.set(keys[i], rows[rows.length - 1]);
    }
  });
  return rows;
}

/** The coarsest step that all distances keep to. @param {number[]} distances */
function roundingOf(distances) {
  const keeps = (/** @type {number} */ step) =>
    distances.every((d) => Math.abs(d / step - Math.round(d / step)) < 1e-3);
  const step = K.prepare.STEPS_M.find(keeps);
  if (step === undefined) return 0;
  return distances.length >= 3 ? step : Math.min(step, 1);
}

/** @param {Ball} ball @param {number} count @param {number} step */
function noiseOf(ball, count, step) {
  const rounding = ball.rounding_m ?? step;
  const error = ball.error_sd_m || (count > 1 ? K.priors.PILE_FINE_M : 0);
  return (error ** 2 + rounding ** 2 / 12) / ball.distance_m ** 2;
}

/** @param {Ball} ball */
const sideOf = (ball) =>
  ball.offline_m === null || ball.offline_m === undefined || ball.measured_by === "pile"
    ? NaN
    : ball.offline_m / ball.distance_m;

/** @type {Record<string, number>} */
const NOTED = { good: 0, heavy: 0, fat: 1, thin: 2, toe: 3, heel: 3 };
/** @param {Ball} ball */
const knownOf = (ball) => NOTED[ball.strike] ?? -1;

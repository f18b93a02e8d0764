// What the keys and the phone's chart page show, worked out on the phone: the same as the server says of the same balls.
import { K } from "./constants.js";
import { answer } from "./answer.js";
import { clubKey, parseSwing, shotKey, shotName } from "./labels.js";
import { cellTold, halfOf, meaningTold } from "./meaning.js";
import { afterOneMore, lessSure } from "./next.js";
import { rounded } from "./numbers.js";
import { sayMessage } from "./say.js";
import { ballOf, toCarry } from "./typed.js";

const MOST_TIED = 3;

/** @typedef {{ club: string, swing: string }} Shot */
/** @typedef {import("./prepare.js").Ball} Ball */

/**
 * @typedef {object} Asked
 * @property {import("../balls.js").TypedBall[]} typed this phone's balls of the bucket, in the order typed
 * @property {(Ball & { key?: string })[]} known balls that the server told of last
 * @property {import("./answer.js").Plan | null} plan
 * @property {Shot[]} shots those that have a key
 * @property {string} ground
 * @property {boolean} [child] whether a child hits
 * @property {import("./say.js").Tongue} tongue
 */

/** The balls that count, each once: the server's, this phone's changes of them, then what it does not have. @param {Asked} asked */
export function ballsOf({ typed, known, ground }) {
  const mine = new Map(typed.map((ball) => [ball.key, ball]));
  /** @type {Ball[]} */
  const found = [];
  let number = 0;
  for (const ball of known) {
    number = Math.max(number, ball.number);
    const own = ball.key ? mine.get(ball.key) : undefined;
    if (own && !own.back) found.push({ ...ballOf(own, ball.number), use: ball.use, day: ball.day });
    else if (!own) found.push(ball);
    if (ball.key) mine.delete(ball.key);
  }
  for (const ball of mine.values()) if (!ball.back && !ball.why) found.push(ballOf(ball, ++number));
  return found.map((ball) => toCarry(ball, ground));
}

/** The chart as it fills, in the form of the server's own answer. @param {Asked} asked */
export function live(asked) {
  const found = answered(asked);
  if (!found) return { unit: asked.tongue.unit, balls: 0, cells: [], next: [], stop: false, here: true };
  const { advice, shown, say, carries, after, balls, unsure } = found;
  const names = new Map(shown.map(({ shot, cell }) => [cell, shot]));
  const nameOf = (/** @type {any} */ cell) => names.get(cell) || { club: cell.club, swing: cell.swing };
  return {
    ...{ here: true, unit: asked.tongue.unit, balls },
    cells: shown.map(({ shot, cell }) => ({ ...shot, ...cellOf(cell, after.get(cell), carries, unsure.has(cell)) })),
    next: advice.suggestions.map((one) => ({ ...nameOf(one.cell), balls: one.balls, why: say(one.why) })),
    ...{ stop: advice.stop, to_go: advice.balls_to_go, minutes: advice.minutes_to_go, endless: advice.endless },
    until: advice.messages
      .filter((one) => one.code !== "advice.next")
      .map(say)
      .join(" "),
    words: advice.messages.map(say),
  };
}

/** All that the chart page says. @param {Asked} asked */
export function whole(asked) {
  const found = answered(asked);
  if (!found) return null;
  const { advice, say, carries, balls, chart, mishits, unsure } = found;
  const meaning = found.meaning();
  return {
    ...{ balls, unit: asked.tongue.unit, clubs: chart.clubs, swings: chart.swings },
    cells: chart.cells.map((/** @type {any} */ cell) => ({
      ...{
        club: cell.club,
        swing: cell.swing,
        ...cellOf(cell, 0, carries, unsure.has(cell)),
        told: cellTold(cell).map(say),
      },
      lands: carries.ends(cell.next_another_day90_m),
      another: `${carries.whole(cell.stock_carry_m)} (${carries.span(cell.next_another_day90_m)})`,
    })),
    checks: chart.checks.map(say),
    notes: chart.notes.map(say),
    meaning: meaningTold(meaning).map(say),
    words: advice.messages.map(say),
    mishits: { called: mishits.called, seen: mishits.seen },
    ladder: farToNear(meaning, carries, unsure),
  };
}

/**
 * The card's way in by number, far to near: shots that carry the same stand together, a gap is a row of its own (`paper/card.py`).
 * @param {any} meaning
 * @param {ReturnType<typeof carriesIn>} carries
 * @param {Set<any>} unsure the cells that bear a "?"
 */
function farToNear({ ladder, gaps, doubles }, carries, unsure) {
  const tied = (/** @type {any} */ a, /** @type {any} */ b) =>
    doubles.some((/** @type {any} */ pair) => [pair.first, pair.second].every((one) => one === a || one === b));
  /** @type {any[]} */
  const rows = [];
  /** @type {any[]} */
  let held = [];
  for (const cell of [...ladder].reverse()) {
    const [number, last, before] = [carries.whole(cell.stock_carry_m), rows.at(-1), held.at(-1)];
    const gap = gaps.find((/** @type {any} */ one) => one.below === cell);
    const { low, high } = cell.another_day90_m;
    const doubt = `±${carries.doubt((high - low) / 2)}${unsure.has(cell) ? "?" : ""}`;
    const shot = { name: shotName(cell), doubt };
    if (gap) rows.push({ gap: carries.ends({ low: gap.low_m, high: gap.high_m }) });
    if (before && !gap && held.length < MOST_TIED && (tied(before, cell) || last.far === number)) {
      held.push(cell);
      last.shots.push(shot);
      last.number = last.far === number ? number : `${number}–${last.far}`;
    } else {
      held = [cell];
      rows.push({ far: number, number, shots: [shot] });
    }
  }
  return rows;
}

/** The answer to what was asked, null without a ball. @param {Asked} asked */
export function answered(asked) {
  const balls = ballsOf(asked);
  const used = balls.filter((ball) => ball.use !== false).length;
  if (!used) return null;
  const found = answer(balls, asked.plan, asked.child);
  const { chart } = found;
  const say = (/** @type {any} */ message) => sayMessage(message, asked.tongue);
  const carries = carriesIn(asked.tongue.unit);
  const [half, less] = [afterOneMore(chart), lessSure(chart)];
  const unsure = new Set(chart.cells.filter((/** @type {any} */ _, /** @type {number} */ i) => less[i]));
  const after = new Map(chart.cells.map((/** @type {any} */ cell, /** @type {number} */ i) => [cell, half[i]]));
  return { ...found, say, carries, after, unsure, balls: used, shown: shownOf(found, asked) };
}

/** The shots with a key, then those asked about that have none. @param {ReturnType<typeof answer>} found @param {Asked} asked */
function shownOf({ chart, asked: cells }, asked) {
  const named = new Map(asked.shots.map((shot) => [keyBy(shot, asked.plan), shot]));
  const of = new Map(chart.cells.map((/** @type {any} */ cell) => [shotKey(cell), cell]));
  const shown = [...named].filter(([key]) => of.has(key)).map(([key, shot]) => ({ shot, cell: of.get(key) }));
  const keyed = new Set(shown.map((one) => one.cell));
  const rest = cells.filter((/** @type {any} */ cell) => !keyed.has(cell));
  return [...shown, ...rest.map((/** @type {any} */ cell) => ({ shot: { club: cell.club, swing: cell.swing }, cell }))];
}

/** The key of a shot under the names of the plan. @param {Shot} shot @param {import("./answer.js").Plan | null} plan */
function keyBy(shot, plan) {
  const club = plan?.clubs.find((one) =>
    [
      clubKey(one.label, one.loft_deg),
      ...[one.label, ...(one.other_names || [])].map((name) => clubKey(name)),
    ].includes(clubKey(shot.club)),
  );
  const swing = plan?.swings.find((one) =>
    [one.label, ...(one.other_names || [])].some((name) => parseSwing(name).key === parseSwing(shot.swing).key),
  );
  return shotKey({ club: club?.label ?? shot.club, swing: swing?.label ?? shot.swing, loft_deg: club?.loft_deg });
}

/** Distances as they are shown (`language/words.py`). @param {string} unit */
function carriesIn(unit) {
  const metres = K.units.METRES_PER[unit];
  const whole = (/** @type {number} */ distance) => rounded(distance / metres);
  return {
    whole,
    tenth: (/** @type {number} */ distance) => rounded((10 * distance) / metres) / 10,
    doubt: (/** @type {number} */ half) => Math.max(1, whole(half)),
    ends: (/** @type {{ low: number, high: number }} */ of) => `${whole(of.low)}–${whole(of.high)}`,
    span: (/** @type {{ low: number, high: number }} */ of) => `${whole(of.low)}-${whole(of.high)} ${unit}`,
  };
}

/** @param {any} cell @param {number} after @param {ReturnType<typeof carriesIn>} carries @param {boolean} need whether it bears a "?" */
const cellOf = (cell, after, carries, need) => ({
  balls: cell.balls,
  carry: carries.whole(cell.stock_carry_m),
  doubt: carries.doubt(halfOf(cell)),
  now: carries.tenth(halfOf(cell)),
  after: carries.tenth(after),
  next: carries.span(cell.next90_m),
  need,
});

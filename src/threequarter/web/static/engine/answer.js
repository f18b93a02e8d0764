// The one answer of balls to a plan: chart, what it means, what to hit next. As `answers/answer.py`.
import { fitChart } from "./fit.js";
import { clubKey, parseClub, parseSwing } from "./labels.js";
import { meaningOf } from "./meaning.js";
import { advise } from "./next.js";
import { mishitsOf } from "./verdicts.js";

/** @typedef {import("./prepare.js").Ball} Ball */
/** @typedef {{ label: string, loft_deg?: number | null, other_names?: string[] }} PlannedClub */
/** @typedef {{ clubs: PlannedClub[], swings: { label: string, other_names?: string[] }[] }} Plan */

/**
 * @param {Ball[]} balls carries, in the order hit
 * @param {Plan | null} plan null: the shots that were hit
 * @param {boolean} [child] whether a child hits: fewer balls a day
 */
export function answer(balls, plan, child = false) {
  const named = plan ? namer(plan) : null;
  const mine = named ? balls.map(named.ball) : balls;
  const shots = plan ? plan.clubs.flatMap((club) => plan.swings.map((swing) => shotOf(club, swing.label))) : [];
  const chart = fitChart(mine, shots);
  const asked = chart.cells.filter((/** @type {any} */ cell) => cell.balls || !named || named.holds(cell));
  return {
    balls: mine,
    chart,
    asked,
    advice: advise(chart, mine, asked, child),
    meaning: () => meaningOf(chart), // the keys show none of it
    mishits: mishitsOf(chart, mine),
  };
}

/** @param {PlannedClub} club @param {string} swing */
const shotOf = (club, swing) => ({ club: club.label, swing, loft_deg: club.loft_deg ?? null });

/** Balls under the plan's own names. @param {Plan} plan */
function namer(plan) {
  /** @type {Map<string, PlannedClub>} */
  const clubs = new Map();
  /** @type {Map<string, { label: string }>} */
  const swings = new Map();
  for (const club of plan.clubs) {
    const keys = [
      clubKey(club.label, club.loft_deg),
      ...[club.label, ...(club.other_names || [])].map((one) => clubKey(one)),
    ];
    keys.filter((key) => !clubs.has(key)).forEach((key) => clubs.set(key, club));
  }
  for (const swing of plan.swings) {
    const keys = [swing.label, ...(swing.other_names || [])].map((one) => parseSwing(one).key);
    keys.filter((key) => !swings.has(key)).forEach((key) => swings.set(key, swing));
  }
  const clubOf = (/** @type {Ball} */ shot) =>
    clubs.get(clubKey(shot.club, shot.loft_deg)) || clubs.get(clubKey(shot.club));
  const swingOf = (/** @type {Ball} */ shot) => swings.get(parseSwing(shot.swing).key);
  return {
    holds: (/** @type {Ball} */ shot) => Boolean(clubOf(shot) && swingOf(shot)),
    /** @param {Ball} ball @returns {Ball} */
    ball(ball) {
      const [club, swing] = [clubOf(ball), swingOf(ball)];
      const loft = club ? (club.loft_deg ?? parseClub(club.label).loft ?? ball.loft_deg) : ball.loft_deg;
      return { ...ball, club: club?.label ?? ball.club, swing: swing?.label ?? ball.swing, loft_deg: loft ?? null };
    },
  };
}

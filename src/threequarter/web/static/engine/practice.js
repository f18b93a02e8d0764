// Practice and recheck with the phone's own chart, in the unit of the page.
import { K } from "./constants.js";
import { fitChart } from "./fit.js";
import { callsOf, scoreOf, usualInside } from "./games.js";
import { shotName } from "./labels.js";
import { answered, ballsOf } from "./live.js";
import { rounded } from "./numbers.js";
import { Told } from "./prepare.js";
import { recheck } from "./recheck.js";
import { sayMessage } from "./say.js";

/** @typedef {import("./live.js").Asked} Asked */
/** @typedef {{ carry: number, shot: string, miss: number, half: number, ended: number | null }} Ball one called ball, in the unit of its test */

/** Numbers to hit. @param {Asked & { game: "called" | "ladder" | "row", balls: number, seed: number }} asked */
export function calls(asked) {
  const found = answered(asked);
  if (!found) throw new Told({ code: "practice.no_ball" });
  const metres = K.units.METRES_PER[asked.tongue.unit];
  const made = callsOf(found.chart, asked.game, asked.balls, asked.seed);
  return {
    row: K.games.IN_A_ROW,
    usual: rounded(usualInside(made)),
    calls: made.map((call) => ({
      ...{ carry: rounded(call.carry_m / metres), shot: shotName(call), ended: null },
      ...{ miss: call.possible_miss_m / metres, half: call.half_m / metres },
    })),
  };
}

/** The score of what was hit; a score has no unit. @param {{ calls: Ball[] }} asked */
export function score({ calls: made }) {
  const hit = made.filter((ball) => ball.ended !== null);
  return scoreOf(hit.map((ball) => ({ carry_m: ball.carry, ended_m: Number(ball.ended), possible_miss_m: ball.miss })));
}

/** Whether the chart of days before still holds, by the balls of the newest one. @param {{ before: Asked[], now: Asked }} asked */
export function holds({ before, now }) {
  let number = 0;
  const old = before.flatMap((day, k) => ballsOf(day).map((ball) => ({ ...ball, day: k + 1, number: (number += 1) })));
  if (!old.length) throw new Told({ code: "practice.no_ball" });
  const { verdict, told } = recheck(fitChart(old), ballsOf(now));
  return { verdict, lines: told.map((one) => sayMessage(one, now.tongue)) };
}

// An engine answers its first questions slowly, for its code is compiled while it runs. Before anybody asks, it answers some of its own.
import { live } from "./live.js";

const CLUBS = ["50", "54", "58"];
const SWINGS = ["knee", "waist", "chest"];
const [FULL, LESS, STEP] = [90, 12, 0.2];
const A_SHOT = 4;
/** After so many the next answers take no longer than later ones (`benchmarks/phone_speed.py`). */
export const ROUNDS = 3;

/** A bucket that nobody hit: each shot some times, off by a few per cent, one of them fat. @param {number} round */
export function example(round) {
  const shots = CLUBS.flatMap((club) => SWINGS.map((swing) => ({ club, swing })));
  const typed = shots.flatMap(({ club, swing }, i) =>
    [...Array(A_SHOT).keys()].map((k) => {
      const n = 1 + i * A_SHOT + k;
      const whole = (FULL - LESS * CLUBS.indexOf(club)) * (2 * STEP + STEP * SWINGS.indexOf(swing));
      const carry = Math.round(10 * whole * (1 + 0.04 * Math.sin(7 * n + round))) / 10;
      const about = { key: `warm ${n}`, session: 0, n, at: n, rev: 0, told: 0, tried: false, sent: false, base: null };
      return {
        ...about,
        back: false,
        why: "",
        club,
        swing,
        carry,
        unit: "yd",
        by: "device",
        strike: n === 5 ? "fat" : null,
      };
    }),
  );
  const plan = { clubs: CLUBS.map((label) => ({ label })), swings: SWINGS.map((label) => ({ label })) };
  return { typed, known: [], plan, shots, ground: "normal", tongue: { texts: {}, unit: "yd", mark: "." } };
}

/** @param {number} round */
export const warmUp = (round) => live(example(round));

// What to hit next, and what this phone alone can say of its balls. Pure.

/** @typedef {{ club: string, swing: string }} Shot */
/** @typedef {import("../balls.js").TypedBall} TypedBall */

const AHEAD = 3;

/**
 * @param {Shot | null | undefined} a
 * @param {Shot | null | undefined} b
 */
export const sameShot = (a, b) => Boolean(a && b && a.club === b.club && a.swing === b.swing);

/**
 * A number from 0 to 1 out of whole numbers (the mixing of a 32-bit hash; Steele et al. 2014, SplitMix, its 32-bit form).
 * @param {...number} parts
 */
export function chance(...parts) {
  let state = 0x9e3779b9;
  for (const part of parts) {
    state = (state + Math.imul(part + 1, 0x9e3779b9)) | 0;
    state = Math.imul(state ^ (state >>> 16), 0x85ebca6b);
    state = Math.imul(state ^ (state >>> 13), 0xc2b2ae35);
    state ^= state >>> 16;
  }
  return (state >>> 0) / 2 ** 32;
}

/**
 * Random order: a shot of those that still need balls, never the last one again, the same draws for the same session.
 * @param {{ session: number, shots: Shot[], balls: Shot[], needed: Shot[], last: Shot | undefined }} told
 * @returns {Shot}
 */
export function draw({ session, shots, balls, needed, last }) {
  const hit = (/** @type {Shot} */ shot) => balls.filter((ball) => sameShot(ball, shot)).length;
  const fewest = Math.min(...shots.map(hit));
  let pool = needed.length ? needed : shots.filter((shot) => hit(shot) < fewest + AHEAD);
  if (pool.length > 1) pool = pool.filter((shot) => !sameShot(shot, last));
  return pool[Math.floor(chance(session, balls.length) * pool.length)] || shots[0];
}

/** @param {TypedBall} ball */
const good = (ball) => !ball.strike || ball.strike === "heavy" || ball.strike === "good";

/**
 * Middle and ends of this phone's own good balls: all there is without a server, and marked as provisional.
 * @param {TypedBall[]} balls
 * @param {string} unit
 */
export function spread(balls, unit) {
  const used = balls.filter((ball) => good(ball) && ball.unit === unit);
  const carries = used.map((ball) => ball.carry).sort((a, b) => a - b);
  if (!carries.length) return null;
  const half = carries.length / 2;
  const middle = carries.length % 2 ? carries[Math.floor(half)] : (carries[half - 1] + carries[half]) / 2;
  return { middle: Math.round(10 * middle) / 10, low: carries[0], high: carries[carries.length - 1] };
}

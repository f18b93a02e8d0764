// What to hit next, and the middle of this phone's own balls.
import assert from "node:assert/strict";
import { test } from "node:test";
import { chance, draw, sameShot, spread } from "../../src/threequarter/web/static/bucket/advice.js";

const SHOTS = ["50", "54", "58"].flatMap((club) => ["waist", "chest"].map((swing) => ({ club, swing })));

test("random order draws the same for the same session, another for another", () => {
  const told = { shots: SHOTS, balls: [], needed: [], last: undefined };
  const draws = (session) =>
    Array.from({ length: 9 }, (_, n) => draw({ ...told, session, balls: SHOTS.slice(0, n % 6) }));
  assert.deepEqual(draws(1), draws(1));
  assert.notDeepEqual(draws(1), draws(2));
});

test("no shot is drawn twice in a row, and none runs three balls ahead", () => {
  const balls = [];
  for (let n = 0; n < 300; n += 1) {
    const next = draw({ session: 5, shots: SHOTS, balls, needed: [], last: balls[balls.length - 1] });
    assert.ok(!sameShot(next, balls[balls.length - 1]));
    balls.push(next);
  }
  const counts = SHOTS.map((shot) => balls.filter((ball) => sameShot(ball, shot)).length);
  assert.ok(Math.max(...counts) - Math.min(...counts) <= 3, String(counts));
});

test("shots that still need balls come first", () => {
  const needed = [SHOTS[1], SHOTS[4]];
  for (let session = 0; session < 50; session += 1) {
    assert.ok(needed.includes(draw({ session, shots: SHOTS, balls: [], needed, last: undefined })));
  }
});

test("chance is even: a hundred bins of ten thousand draws", () => {
  const bins = new Array(100).fill(0);
  for (let n = 0; n < 10000; n += 1) bins[Math.floor(100 * chance(n % 100, Math.floor(n / 100)))] += 1;
  // reference: chi-square with 99 degrees of freedom is below 148.2 with probability 0.999 (NIST/SEMATECH handbook, 1.3.6.7.4)
  const chi = bins.reduce((sum, count) => sum + (count - 100) ** 2 / 100, 0);
  assert.ok(chi < 148.2, String(chi));
});

test("the middle is that of the good balls in the page's unit", () => {
  const ball = (carry, more = {}) => ({ carry, unit: "yd", strike: null, ...more });
  assert.deepEqual(spread([ball(40), ball(50), ball(43)], "yd"), { middle: 43, low: 40, high: 50 });
  assert.deepEqual(spread([ball(40), ball(43)], "yd"), { middle: 41.5, low: 40, high: 43 });
  assert.equal(spread([ball(9, { strike: "fat" }), ball(30, { unit: "m" })], "yd"), null);
});

// The watcher of the live page, with a model that knows the answer: how often it looks, and when it hands a swing on.
import assert from "node:assert/strict";
import { test } from "node:test";
import { handSpeed, Watcher } from "../../src/threequarter/web/static/live/watcher.js";

const SHOULDER_Y = 100;
const TRUNK = 60;
const ARM = 70;

/** The arm's angle at a time: back in 0.8 s, down in 0.3 s, through in 0.5 s; the ball at `ball`. */
function armDeg(at, ball, still = false) {
  const t = at - ball;
  if (still || t < -1.1 || t > 2.5) return -10;
  if (t < -0.3) return -10 + 95 * (0.5 - 0.5 * Math.cos((Math.PI * (t + 1.1)) / 0.8));
  if (t < 0) return 85 - 95 * (1 - Math.cos((Math.PI / 2) * ((t + 0.3) / 0.3)));
  if (t < 0.5) return -10 - 80 * Math.sin((Math.PI / 2) * (t / 0.5));
  return t < 1.5 ? -90 : -90 + 80 * (t - 1.5);
}

function bodyAt(deg) {
  const points = new Float64Array(66);
  const put = (k, x, y) => points.set([x, y], 2 * k);
  put(11, 160, SHOULDER_Y);
  put(12, 130, SHOULDER_Y);
  put(23, 155, SHOULDER_Y + TRUNK);
  put(24, 135, SHOULDER_Y + TRUNK);
  const turned = (deg * Math.PI) / 180;
  for (const k of [15, 16]) put(k, 160 - ARM * Math.sin(turned), SHOULDER_Y + ARM * Math.cos(turned));
  const roi = { x: 145, y: 160, side: 250 };
  return { points, visibility: new Float64Array(33).fill(1), world: new Float64Array(99), presence: 1, roi };
}

/** Plays pictures at thirty a second to a watcher whose model takes `takes_s`; returns the moves and how often it looked. */
async function played(balls, { seconds = 12, takes_s = 0.01, still = false, presence = 1, cut_s = 1e9 } = {}) {
  const moves = [];
  let looks = 0;
  const degAt = (at) => armDeg(at, balls.find((ball) => at < ball + 2.5) ?? 1e9, still);
  const nets = {
    people: async () => [{ roi: bodyAt(0).roi }],
    body: async (picture) => {
      looks += 1;
      const body = bodyAt(degAt(picture.at));
      if (picture.at > cut_s) for (const k of [15, 16]) body.points[2 * k] -= 150; // somebody else's hands
      return { ...body, presence };
    },
  };
  const watcher = new Watcher(nets, () => looks * takes_s);
  let free = 0;
  for (let n = 0; n < seconds * 30; n++) {
    const picture_s = n / 30;
    // the whole picture brightens where the arm moves
    const grey = still ? 100 : 100 + Math.round(degAt(picture_s));
    const data = new Uint8ClampedArray(4 * 288 * 320).fill(grey);
    watcher.take(picture_s, { data, width: 288, height: 320 });
    free = Math.max(free, picture_s);
    while (free < picture_s + 1 / 30) {
      const next = watcher.next();
      if (!next) break;
      await watcher.look(next);
      free += takes_s;
      const found = watcher.ended();
      if (found) moves.push({ ...found, now: free });
    }
  }
  return { moves, looks, watcher };
}

test("each swing is handed on once, with what came before it", async () => {
  const { moves } = await played([3, 8]);
  assert.equal(moves.length, 2);
  for (const [k, ball] of [3, 8].entries()) {
    assert.ok(Math.abs(moves[k].down - ball) < 0.5);
    assert.ok(moves[k].rows[0].at < ball - 1.6);
    assert.ok(moves[k].rows.at(-1).at > ball + 0.7);
    const times = moves[k].rows.map(({ at }) => at);
    assert.deepEqual(
      times,
      [...new Set(times)].sort((a, b) => a - b),
    );
  }
});

test("a model that takes twice a picture's time still answers within two seconds, with every picture on the way down", async () => {
  const { moves } = await played([4], { takes_s: 0.05 });
  assert.equal(moves.length, 1);
  assert.ok(moves[0].now - 4 < 2, `${moves[0].now - 4} s`);
  const down = moves[0].rows.filter(({ at }) => at > 3.75 && at < 4.05);
  assert.ok(down.length >= 8, `${down.length} pictures`);
});

test("a slow device answers in time, and looks at the way down once it is over", async () => {
  const { moves } = await played([4], { takes_s: 0.12 });
  assert.equal(moves.length, 1);
  assert.ok(moves[0].now - 4 < 1.8, `${moves[0].now - 4} s`);
  const down = moves[0].rows.filter(({ at }) => at > 3.7 && at < 4.05);
  assert.ok(down.length >= 5, `${down.length} pictures`);
  const times = moves[0].rows.map(({ at }) => at);
  assert.deepEqual(
    times,
    [...new Set(times)].sort((a, b) => a - b),
  );
});

test("a player who stands still is looked at seldom and hands nothing on", async () => {
  const { moves, looks } = await played([3], { still: true });
  assert.equal(moves.length, 0);
  assert.ok(looks < 12 * 8, `${looks} looks`);
});

test("neither ring nor rows grow with the time", async () => {
  const { watcher } = await played([3, 8, 13, 18], { seconds: 22 });
  assert.ok(watcher.ring.length <= 75);
  assert.ok(watcher.rows.length <= 30 * 5);
});

test("where the model sees nobody nothing is handed on", async () => {
  const { moves } = await played([3], { presence: 0.2 });
  assert.equal(moves.length, 0);
});

test("speed is in trunk lengths a second", () => {
  const [before, now] = [
    { at: 1, body: bodyAt(0) },
    { at: 1.1, body: bodyAt(30) },
  ];
  const chord = 2 * ARM * Math.sin(Math.PI / 12);
  assert.ok(Math.abs(handSpeed(before, now) - chord / TRUNK / 0.1) < 1e-6);
});

test("points that are somewhere else from one look to the next are no swing", async () => {
  const { moves } = await played([], { cut_s: 5.01, seconds: 8 });
  assert.equal(moves.length, 0);
});

test("a swing that ends just before such a jump is handed on as it was", async () => {
  const { moves } = await played([3], { cut_s: 4.3, seconds: 8 });
  assert.equal(moves.length, 1);
  assert.ok(Math.abs(moves[0].down - 3) < 0.5);
});

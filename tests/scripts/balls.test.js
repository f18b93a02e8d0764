// What a typed ball is told as, and what waits: the parts of the keys' page that need no page.
import assert from "node:assert/strict";
import { test } from "node:test";
import { settled } from "../../src/threequarter/web/static/ball_sender.js";
import { contentOf, modern, movedTo, newKey, unsent, waits } from "../../src/threequarter/web/static/balls.js";

const BALL = {
  key: "a-key",
  session: 1,
  n: 3,
  at: 0,
  rev: 0,
  told: 0,
  tried: false,
  sent: false,
  back: false,
  why: "",
  base: null,
  club: "54",
  swing: "waist",
  carry: 41,
  unit: "yd",
  strike: null,
};

test("a server is told what was typed and nothing else", () => {
  assert.deepEqual(contentOf(BALL), { club: "54", swing: "waist", carry: 41, unit: "yd" });
});

test("a ball waits until it is sent, and again after each change; a refused one waits no more", () => {
  assert.ok(waits(BALL));
  assert.ok(!unsent({ ...BALL, sent: true }));
  assert.ok(unsent({ ...BALL, sent: true, rev: 2, told: 1 }));
  assert.ok(!unsent({ ...BALL, sent: true, rev: 2, told: 2 }));
  assert.ok(!unsent({ ...BALL, back: true }));
  assert.ok(unsent({ ...BALL, back: true, tried: true }));
  assert.ok(unsent({ ...BALL, why: "too far" }) && !waits({ ...BALL, why: "too far" }));
});

test("a record of the first page knows only whether it was taken back", () => {
  const { rev: _rev, n: _n, base: _base, ...old } = BALL;
  const sentAndBack = modern({ ...old, sent: true, back: true, told: false });
  assert.deepEqual([sentAndBack.rev, sentAndBack.told, unsent(sentAndBack)], [1, 0, true]);
  assert.equal(unsent(modern({ ...old, sent: true, back: true, told: true })), false);
  assert.deepEqual(modern({ ...old, tried: true, told: false }).base?.carry, 41);
  assert.equal(modern(BALL), BALL);
});

test("what the server says of a ball is kept with it", () => {
  const outcome = (state, more = {}) => settled(BALL, { key: "a-key", state, why: "", rev: 0, ...more });
  assert.deepEqual([outcome("saved").sent, outcome("known").sent], [true, true]);
  assert.deepEqual([outcome("conflict").sent, outcome("conflict").conflict], [true, true]);
  assert.equal(outcome("refused").why, "?");
  assert.equal(settled({ ...BALL, told: 4 }, { key: "", state: "changed", why: "", rev: 3 }).told, 4);
});

test("a ball for another session is sent as if it had never been", () => {
  const moved = movedTo({ ...BALL, sent: true, tried: true, rev: 2, told: 2, why: "gone" }, 7);
  assert.deepEqual([moved.session, waits(moved), moved.base, moved.rev], [7, true, null, 0]);
});

test("keys do not come twice", () => {
  const made = new Set(Array.from({ length: 1000 }, newKey));
  assert.equal(made.size, 1000);
  assert.match([...made][0], /^[0-9a-f]{32}$/);
});

import assert from "node:assert/strict";
import test from "node:test";
import { copyOf, merged, readCopy } from "../../src/threequarter/web/static/phone_copy.js";

const HISTORIES = Number(process.env.HISTORIES || 500);
const NOW = 1_800_000_000_000;
const hex = (n) => n.toString(16).padStart(32, "0");
const bucket = (id, n) => ({
  ...{ id, key: hex(n), player: "Lark Fenn", unit: "yd" },
  ...{ clubs: ["54"], swings: ["waist"], at: NOW - 1000 * n },
});
const ball = (n, session, more = {}) => ({
  ...{
    key: hex(100 + n),
    session,
    n,
    at: NOW + n,
    rev: 0,
    told: 0,
    tried: false,
    sent: false,
    back: false,
    why: "",
    base: null,
  },
  ...{ club: "54", swing: "waist", carry: 40 + n, unit: "yd", ...more },
});
const NOTHING = { buckets: [], balls: [], tests: [] };
const copied = (balls, tests = []) => readCopy(JSON.stringify(copyOf([bucket(-5, 1)], balls, tests, NOW)));

/** A phone after a copy was brought in. */
function after(here, told) {
  const found = merged(told, here, NOW);
  const balls = new Map([...here.balls, ...found.balls].map((one) => [one.key, one]));
  const tests = new Map([...here.tests, ...found.tests].map((one) => [one.key, one]));
  return {
    counts: found.counts,
    here: { buckets: [...here.buckets, ...found.buckets], balls: [...balls.values()], tests: [...tests.values()] },
  };
}

test("a copy twice is once, in a bucket of the phone's own number", () => {
  const told = copied([ball(1, -5), ball(2, -5, { back: true })]);
  const first = after(NOTHING, told);
  const again = after(first.here, told);
  assert.deepEqual(first.counts, { fresh: 2, changed: 0, known: 0 });
  assert.deepEqual(again.counts, { fresh: 0, changed: 0, known: 2 });
  assert.equal(again.here.buckets.length, 1);
  assert.ok(again.here.balls.every((one) => one.session === again.here.buckets[0].id && !one.sent));
});

test("of two copies the one changed more often holds, in either order", () => {
  const [older, newer] = [copied([ball(1, -5)]), copied([ball(1, -5, { carry: 33, edits: 2 })])];
  for (const order of [
    [older, newer],
    [newer, older],
  ]) {
    const { here } = order.reduce((found, told) => after(found.here, told), { here: NOTHING });
    assert.deepEqual(
      here.balls.map((one) => one.carry),
      [33],
    );
  }
});

test("a change from another phone goes on to the server that has the ball", () => {
  const sent = ball(1, 7, { tried: true, sent: true, base: { carry: 41 }, rev: 1, told: 1, edits: 1 });
  const { here, counts } = after({ ...NOTHING, balls: [sent] }, copied([ball(1, -5, { carry: 33, edits: 2 })]));
  assert.equal(counts.changed, 1);
  const [now] = here.balls;
  assert.deepEqual([now.session, now.sent, now.rev > now.told, now.carry, now.base.carry], [7, true, true, 33, 41]);
});

test("three phones that meet in any order come to the same balls", () => {
  let state = 7;
  const random = (most) => (state = (state * 48271) % 2147483647) % most;
  for (let history = 0; history < HISTORIES; history++) {
    const phones = [NOTHING, NOTHING, NOTHING].map((one) => ({ ...one, buckets: [bucket(-5, 1)], balls: [] }));
    const truth = new Map();
    for (let step = 0; step < 12; step++) {
      const phone = phones[random(3)];
      const act = random(4);
      if (act === 0) {
        const made = ball(1000 * history + step, -5);
        phone.balls = [...phone.balls, made];
        truth.set(made.key, made);
      } else if (act === 1 && phone.balls.length) {
        const one = phone.balls[random(phone.balls.length)];
        const changed = { ...one, carry: 20 + step, back: step % 3 === 0, edits: (truth.get(one.key).edits || 0) + 1 };
        phone.balls = phone.balls.map((other) => (other.key === one.key ? changed : other));
        truth.set(one.key, changed);
      } else {
        const [from, to] = [random(3), random(3)];
        phones[to] = after(
          phones[to],
          readCopy(JSON.stringify(copyOf(phones[from].buckets, phones[from].balls, [], NOW))),
        ).here;
      }
    }
    for (const turn of [0, 1, 2, 0, 1, 2]) {
      const told = readCopy(JSON.stringify(copyOf(phones[turn].buckets, phones[turn].balls, [], NOW)));
      phones[(turn + 1) % 3] = after(phones[(turn + 1) % 3], told).here;
    }
    for (const phone of phones) {
      assert.equal(phone.balls.length, truth.size);
      for (const one of phone.balls) {
        const { carry, back } = truth.get(one.key);
        assert.deepEqual([one.carry, one.back], [carry, back]);
      }
    }
  }
});

test("a test that was scored is not opened again by an older copy", () => {
  const open = {
    ...{ key: hex(9), bucket: -5, game: "row", unit: "yd", at: NOW },
    row: 3,
    usual: 5,
    done: false,
    calls: [],
  };
  const { here } = [copied([], [{ ...open, done: true }]), copied([], [open])].reduce(
    (found, told) => after(found.here, told),
    { here: NOTHING },
  );
  assert.deepEqual(
    here.tests.map((one) => one.done),
    [true],
  );
});

test("what is no copy is none", () => {
  for (const text of [
    "",
    "{}",
    "[]",
    "null",
    '{"format": "threequarter phone 1"}',
    '{"format": "threequarter phone 1", "buckets": [{}]}',
  ])
    assert.equal(readCopy(text), null);
});

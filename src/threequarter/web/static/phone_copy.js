// One file with all that was begun on this phone, and such a file put in again: each ball and each test once. Pure.
//
// The form (docs/phone-file.md): { format, made, buckets: [{ key, player, unit, clubs, swings, at, balls, tests }] }. A ball is what was
// typed, with its `key`, `n`, `at`, `edits` and `back`; of two copies of one ball the one changed more often holds.
import { contentOf } from "./balls.js";

/** @typedef {import("./balls.js").TypedBall} TypedBall */
/** @typedef {import("./here_buckets.js").Bucket} Bucket */
/** @typedef {import("./test_store.js").Test} Test */

export const FORMAT = "threequarter phone 1";
const KEY = /^[0-9a-f]{32}$/;
const UNITS = ["yd", "m"];

/**
 * @param {Bucket[]} buckets
 * @param {TypedBall[]} balls
 * @param {Test[]} tests
 * @param {number} now
 */
export function copyOf(buckets, balls, tests, now) {
  const mine = buckets.filter((bucket) => bucket.id < 0);
  return {
    format: FORMAT,
    made: new Date(now).toISOString(),
    buckets: mine.map(({ id, key, player, unit, clubs, swings, at }) => ({
      ...{ key, player, unit, clubs, swings, at },
      balls: balls.filter((ball) => ball.session === id).map(ballIn),
      tests: tests.filter((test) => test.bucket === id).map(testOut),
    })),
  };
}

/** @param {TypedBall} ball */
const ballIn = (ball) => ({
  ...{ key: ball.key, n: ball.n, at: ball.at, edits: ball.edits || 0, back: ball.back },
  ...contentOf(ball),
});

/** @param {unknown} value */
const isNames = (value) => Array.isArray(value) && value.length > 0 && value.every((one) => typeof one === "string");

/**
 * A file's text as a copy, or null for what is none.
 * @param {string} text
 * @returns {any}
 */
export function readCopy(text) {
  try {
    const found = JSON.parse(text);
    return found?.format === FORMAT && Array.isArray(found.buckets) && found.buckets.every(isBucket) ? found : null;
  } catch {
    return null;
  }
}

/** @param {any} one */
function isBucket(one) {
  const named = KEY.test(one?.key) && typeof one.player === "string" && UNITS.includes(one.unit);
  const made = Number.isFinite(one?.at) && isNames(one.clubs) && isNames(one.swings);
  return named && made && Array.isArray(one.balls) && one.balls.every(isBall) && Array.isArray(one.tests ?? []);
}

/** @param {any} one */
const isBall = (one) =>
  KEY.test(one?.key) &&
  ["club", "swing", "unit"].every((name) => typeof one[name] === "string") &&
  [one.carry, one.n, one.at].every(Number.isFinite) &&
  one.carry > 0;

/** A test without the number of its bucket, which holds on this phone only. @param {Test} test */
function testOut(test) {
  return Object.fromEntries(Object.entries(test).filter(([name]) => name !== "bucket"));
}

/** @param {any} test */
const isTest = (test) =>
  KEY.test(test?.key) && typeof test.game === "string" && Number.isFinite(test.at) && Array.isArray(test.calls);

/**
 * What a copy adds to a phone: buckets, balls and tests to be kept, and how many balls are new, changed or known.
 * @param {any} copy
 * @param {{ buckets: Bucket[], balls: TypedBall[], tests: Test[] }} here
 * @param {number} now
 */
export function merged(copy, here, now) {
  const ids = new Map(here.buckets.filter((bucket) => bucket.id < 0).map((bucket) => [bucket.key, bucket.id]));
  const known = new Map(here.balls.map((ball) => [ball.key, ball]));
  const done = new Map(here.tests.map((test) => [test.key, test]));
  const found = {
    buckets: /** @type {Bucket[]} */ ([]),
    balls: /** @type {TypedBall[]} */ ([]),
    tests: /** @type {Test[]} */ ([]),
  };
  let lowest = Math.min(-now, ...here.buckets.map((bucket) => bucket.id));
  const counts = { fresh: 0, changed: 0, known: 0 };
  for (const { balls, tests, ...bucket } of copy.buckets) {
    const id = ids.get(bucket.key) ?? (lowest -= 1);
    if (!ids.has(bucket.key)) found.buckets.push({ ...bucket, id });
    ids.set(bucket.key, id);
    for (const told of balls) {
      const ball = newer(told, known.get(told.key), id);
      counts[ball ? (known.has(told.key) ? "changed" : "fresh") : "known"] += 1;
      if (ball) {
        found.balls.push(ball);
        known.set(ball.key, ball);
      }
    }
    for (const test of (tests || []).filter(isTest))
      if (!done.get(test.key)?.done) found.tests.push({ ...test, bucket: id });
  }
  return { ...found, counts };
}

/** A ball of a copy as this phone keeps it; null where this phone knows it as well. @param {any} told @param {TypedBall | undefined} mine @param {number} id */
function newer(told, mine, id) {
  const ball = { ...ballFrom(told), ...(mine ? sentOf(mine, told) : { session: id }) };
  return mine && (mine.edits || 0) >= (ball.edits || 0) ? null : ball;
}

/** What a server knows of a ball stays; what was changed goes there as a change. @param {TypedBall} mine @param {any} told */
function sentOf({ session, tried, sent, told: heard, base, rev }, { edits }) {
  return { session, tried, sent, base, told: heard, rev: tried || sent ? Math.max(rev, Number(edits) || 0) : rev };
}

/** @param {any} told @returns {TypedBall} */
function ballFrom(told) {
  const { key, n, at } = told;
  const fresh = { rev: 0, told: 0, tried: false, sent: false, why: "", base: null, session: 0 };
  return { ...contentOf(told), ...fresh, key, n, at, edits: Number(told.edits) || 0, back: told.back === true };
}

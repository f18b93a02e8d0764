// Texts with values, ages, and the geometry of a tap and of a walk.
import assert from "node:assert/strict";
import { test } from "node:test";
import { metres } from "../../src/threequarter/web/static/place.js";
import { tapped } from "../../src/threequarter/web/static/swing_marks.js";
import { ageOf, makeSay, sayBall, written } from "../../src/threequarter/web/static/texts.js";

const TABLE = {
  balls: ["{n} ball", "{n} balls"],
  doubt: "{carry} ± {doubt}",
  paces: "paces",
  left: "{n} left",
  fat: "fat",
  age_now: "now",
  age_minutes: ["{n} minute", "{n} minutes"],
  age_hours: ["{n} hour", "{n} hours"],
  age_days: ["{n} day", "{n} days"],
  age_unknown: "?",
};
const say = makeSay(TABLE, "de");

test("a text takes its form by its number, and numbers the mark of the language", () => {
  assert.equal(say("balls", { n: 1 }), "1 ball");
  assert.equal(say("balls", { n: 2 }), "2 balls");
  assert.equal(say("doubt", { carry: 41.5, doubt: "2" }), "41,5 ±\u00a02");
  assert.equal(say("doubt", { carry: 41 }), "41 ±\u00a0{doubt}");
  assert.equal(say("not there"), "not there");
  assert.equal(written("1.", "de"), "1,");
  assert.equal(written("54", "de"), "54");
});

test("an age is told in the unit that fits; a clock that was changed is not computed with", () => {
  const minutes = (count) => ageOf([{ at: 10 ** 12 - count * 60000 }, { at: 10 ** 12 }], say, 10 ** 12);
  assert.deepEqual([0, 1, 119, 120, 2879, 2880].map(minutes), [
    "now",
    "1 minute",
    "119 minutes",
    "2 hours",
    "47 hours",
    "2 days",
  ]);
  assert.equal(ageOf([{ at: 10 ** 12 + 180000 }], say, 10 ** 12), "?");
  assert.equal(minutes(400 * 1440), "?");
  assert.equal(ageOf([], say), "");
});

test("a ball in a line", () => {
  assert.equal(
    sayBall({ club: "54", swing: "waist", carry: 41.5, unit: "paces", strike: "fat", side: -3 }, say, "de"),
    "54 waist 41,5 paces fat 3 left",
  );
});

test("a walk over one second of latitude and of longitude", () => {
  // reference: a degree at 45° on the WGS 84 ellipsoid is 111.132 km of latitude and 78.847 km of longitude (tables of degree lengths)
  const at = { lat: 45, lon: 8 };
  assert.ok(Math.abs(metres(at, { lat: 45 + 1 / 3600, lon: 8 }) - 111132 / 3600) < 0.001);
  assert.ok(Math.abs(metres(at, { lat: 45, lon: 8 + 1 / 3600 }) - 78847 / 3600) < 0.001);
});

test("a tap counts on the pictures of the top and the finish only", () => {
  const sheet = { panel: 100, gap: 10, left: 5, top: 7, scale: 2 };
  assert.deepEqual(tapped(sheet, 120 + 40, 20), { end: "top", x: 25, y: 17 });
  assert.equal(tapped(sheet, 10 + 40, 20), null);
  assert.equal(tapped(sheet, 340 + 40, 20)?.end, "finish");
});

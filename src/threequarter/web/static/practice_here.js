// Practice without a server: the phone's own chart calls the numbers, each ball is kept as it is typed, the phone scores.
import { all, open } from "./ball_store.js";
import { newKey } from "./balls.js";
import { ask, question } from "./bucket/here.js";
import { clubs, hitToday, leftToday, session, state } from "./bucket/state.js";
import { startCaller } from "./caller.js";
import { element, LANGUAGE, note, say } from "./page.js";
import { dropTest, keepNext, keepTest, tests } from "./test_store.js";
import { written, writtenDay } from "./texts.js";

/** @typedef {import("./test_store.js").Test} Test */

const BALLS = 9;
const SHOWN = 10;
const GAMES = ["called", "ladder", "row"];
const named = new URLSearchParams(location.search).get("game") || "";
const game = GAMES.includes(named) ? named : "called";
const form = element("test", HTMLFormElement);
const fixed = (/** @type {number} */ value, /** @type {number} */ digits) => written(value.toFixed(digits), LANGUAGE);
/** @param {string} text */
const typedNumber = (text) => (text.trim() ? Number(text.replace(",", ".")) : null);

/** Whether a ball of it was hit. @param {Test} test */
const begunOf = (test) => test.calls.some((call) => call.ended !== null);

/** Balls that are left of a child's day, those of tests counted too. */
async function leftOfDay() {
  state.balls = await all(session);
  const hit = (await tests(session)).flatMap((test) => test.calls.filter((call) => call.ended !== null)).length;
  return { left: leftToday(hit), hit };
}

/** @returns {Promise<Test | string>} the test that is open, or a new one; why not, where there is none */
async function openTest() {
  const begun = (await tests(session)).find((one) => one.game === game && !one.done);
  const { left, hit } = await leftOfDay();
  if (begun) return shortened(begun, left);
  if (left <= 0) return say("child_enough", { n: hitToday() + hit });
  const asked = await question();
  const seed = crypto.getRandomValues(new Uint32Array(1))[0] % 1e6;
  const { found, why } = await ask("calls", { ...asked, game, balls: Math.min(BALLS, left), seed });
  if (!found) return why || say("chart_none");
  const about = { key: newKey(), bucket: session, game, unit: asked.tongue.unit, at: Date.now(), done: false };
  const made = { ...about, ...found };
  await keepTest(made); // the numbers stay when the page is opened again
  return made;
}

/** A test that calls no more balls than are left. @param {Test} test @param {number} left */
function shortened(test, left) {
  const hit = test.calls.filter((call) => call.ended !== null).length;
  return { ...test, calls: test.calls.slice(0, Math.max(1, hit + Math.max(0, left))) };
}

let saving = Promise.resolve();

/** @param {Test} test */
async function keep(test) {
  const found = await keepNext(test);
  if (found === "refused") note("says", say("memory_only_alone"));
  if (found !== "elsewhere") return;
  note("says", say("test_elsewhere"));
  form.hidden = true;
}

/** The fields that the keys fill, one a ball. @param {Test} test */
function fill(test) {
  const fields = test.calls.map((call) => {
    const field = document.createElement("input");
    const value = call.ended === null ? "" : written(call.ended, LANGUAGE);
    Object.assign(field, { type: "hidden", value });
    Object.assign(field.dataset, { called: String(call.carry), half: String(call.half) });
    if (game !== "called") field.dataset.shot = call.shot;
    return field;
  });
  element("every-number").replaceChildren(...fields);
  Object.assign(form.dataset, { game, row: String(test.row), usual: String(test.usual) });
  element("called-any").hidden = game !== "called";
  for (const place of document.querySelectorAll(".in-unit")) place.textContent = test.unit;
  form.addEventListener("input", () => {
    test.calls.forEach((call, i) => {
      call.ended = typedNumber(fields[i].value);
    });
    saving = saving.then(() => keep(test));
  });
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    await scored(test);
  });
}

/** @param {Test} test */
async function scored(test) {
  const { found, why } = await ask("score", { calls: test.calls, tongue: (await question()).tongue });
  if (!found) {
    note("says", why || say("again"));
    return;
  }
  test.done = true;
  await keepTest(test);
  form.hidden = true;
  element("scored").hidden = false;
  element("scored-says").textContent = sayScore(found);
  const side = say(found.bias_m > 0 ? "bias_long" : "bias_short", {
    bias: fixed(Math.abs(found.bias_m), 1),
    unit: test.unit,
  });
  element("scored-more").textContent = `${say("mean_miss", { miss: fixed(found.miss_m, 1), unit: test.unit })} ${side}`;
  const hit = test.calls.filter((call) => call.ended !== null);
  element("scored-balls").replaceChildren(
    ...hit.map((call, i) =>
      row([`${call.carry} ${test.unit}`, written(call.ended, LANGUAGE), fixed(found.each[i], 1)]),
    ),
  );
  scrollTo(0, 0);
}

/** @param {any} found */
const sayScore = ({ score, score90, balls }) =>
  say("scored", { n: balls, score: fixed(score, 2), low: fixed(score90.low, 2), high: fixed(score90.high, 2) });

/** @param {string[]} texts */
function row(texts) {
  const made = document.createElement("tr");
  made.append(...texts.map((textContent) => Object.assign(document.createElement("td"), { textContent })));
  return made;
}

async function before() {
  const done = (await tests(session)).filter((one) => one.done && begunOf(one)).slice(0, SHOWN);
  const lines = await Promise.all(
    done.map(async (one) => {
      const { found } = await ask("score", { calls: one.calls });
      const day = writtenDay(one.at, LANGUAGE);
      const text = `${day}, ${say(`game_${one.game}`)}: ${found ? sayScore(found) : ""}`;
      return Object.assign(document.createElement("li"), { textContent: text });
    }),
  );
  element("before-list").replaceChildren(...lines);
  element("before").hidden = !lines.length;
}

async function begin() {
  for (const link of document.querySelectorAll("a[data-game]"))
    if (link instanceof HTMLAnchorElement && link.dataset.game === game) link.setAttribute("aria-current", "page");
  await open();
  const test = clubs.length ? await openTest() : say("chart_unknown");
  if (typeof test === "string") element("says").textContent = test;
  else {
    note("says", "");
    fill(test);
    form.hidden = false;
    startCaller(form, () => saving);
    element("others").hidden = false;
    element("others").addEventListener("click", async () => {
      if (begunOf(test)) await keepTest({ ...test, done: true });
      else await dropTest(test.key);
      location.reload();
    });
    await before();
  }
  document.body.dataset.ready = "yes";
}

begin();

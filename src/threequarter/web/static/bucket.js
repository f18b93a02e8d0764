// Balls typed with a thumb: the page of the keys, put together.
import { ALONE, at } from "./addresses.js";
import * as store from "./ball_store.js";
import { unsent } from "./balls.js";
import * as changing from "./bucket/changing.js";
import { makeGrid } from "./bucket/grid.js";
import { wireLists } from "./bucket/lists.js";
import { askAnew, pictures, sender } from "./bucket/server.js";
import { advised, show } from "./bucket/show.js";
import { ASKED, clubs, KNOWN_PATH, knownShot, random, session, state, swings, unit } from "./bucket/state.js";
import { first, inTurn, part, press, showTyped, tell } from "./bucket/typing.js";
import { keepBucket } from "./here_buckets.js";
import { keepHere } from "./kept_here.js";
import { element, input, note, recall, remember, say } from "./page.js";
import { ageOf } from "./texts.js";

/** Pages that a bucket needs without a signal: nobody's, filled on this phone. */
const OURS = ["/bucket/here", "/bucket/chart", "/bucket/round", "/bucket/practice", "/bucket/recheck", "/bucket"];
/** What most players leave as it is: the part that changes it is loaded when it is wanted. */
const USUAL = ["", "device", "blocks"];
const CHOICES = ["by", "order", "with-guess", "with-side"];
const TYPING = "input:not([type=radio], [type=checkbox]), select, textarea";

/** An earlier ball, changed. @param {(mending: typeof import("./bucket/mending.js")) => unknown} act */
const mending = (act) => first(part(() => import("./bucket/mending.js")).then((found) => found && act(found)));

/**
 * What a key of a keyboard does here, nothing for most.
 * @param {string} key
 * @returns {(() => unknown) | undefined}
 */
function actOf(key) {
  if (/^[0-9.]$/.test(key)) return () => press(key);
  /** @type {Record<string, (() => unknown) | null>} */
  const acts = {
    ",": () => press("."),
    Backspace: () => press("back"),
    Enter: state.mending ? () => mending((on) => on.keepMended()) : changing.save,
    Escape: state.mending && (() => mending((on) => on.stopMending())),
  };
  return acts[key] || undefined;
}

/** @param {KeyboardEvent} event */
function byKeyboard(event) {
  const target = /** @type {HTMLElement} */ (event.target);
  if (event.ctrlKey || event.metaKey || event.altKey || target.matches(TYPING)) return;
  if (target.matches("button, a, summary") && event.key === "Enter") return;
  if (!actOf(event.key)) return;
  inTurn(() => actOf(event.key)?.());
  event.preventDefault();
}

async function awake() {
  try {
    await navigator.wakeLock.request("screen");
  } catch {
    /* the screen may sleep: nothing is lost */
  }
}

function wire() {
  makeGrid(() => {
    state.opening = false;
    show();
  });
  wireLists({
    ...{ sender, change: changing.change, refresh: changing.refresh, ask: tell },
    mend: (ball) => mending((on) => on.mend(ball)),
  });
  document.addEventListener("keydown", byKeyboard);
  // A tap leaves no focus behind, so that "Enter" saves and does not tap again; who goes by keyboard keeps it.
  document.addEventListener("click", (event) => {
    const tapped = event.detail > 0 && /** @type {HTMLElement} */ (event.target).closest("main button");
    if (tapped instanceof HTMLElement) tapped.blur();
  });
  const acts = {
    save: () => inTurn(changing.save),
    again: changing.repeat,
    undo: changing.takeBack,
    "mend-keep": () => mending((on) => on.keepMended()),
    "mend-cancel": () => mending((on) => on.stopMending()),
    "mend-delete": () => mending((on) => on.deleteMended()),
    advice: () => {
      const next = advised();
      if (!next) return;
      state.chosen = { club: next.club, swing: next.swing };
      show();
    },
  };
  for (const [id, act] of Object.entries(acts)) element(id).addEventListener("click", act);
  const child = input("child");
  child.checked = ASKED.child;
  child.addEventListener("change", () => {
    ASKED.child = child.checked;
    remember(`child ${session}`, child.checked ? "yes" : "");
    askAnew();
  });
  const last = element("last", HTMLDetailsElement);
  last.addEventListener("toggle", () => last.open && pictures());
  addEventListener("online", () => sender.send());
  document.addEventListener("visibilitychange", () => {
    if (document.hidden) return;
    sender.send();
    awake();
  });
  addEventListener("pageshow", (event) => {
    if (event.persisted) changing.refresh();
  });
}

/** Whether all of these open without a signal. @param {string[]} paths */
async function everyKept(paths) {
  for (const path of paths) if (!(await keepHere(path))) return false;
  return true;
}

async function begin() {
  state.works = await store.open();
  if (!state.works) note("notice", say(ALONE ? "memory_only_alone" : "memory_only"));
  else state.mayClear = (await navigator.storage?.persist?.().catch(() => false)) === false;
  const balls = await store.all(session);
  const before = balls.filter(unsent);
  const last = balls.findLast((ball) => !ball.back);
  state.balls = balls;
  if (last) state.chosen = knownShot(last) || state.chosen;
  await ways();
  wire(); // not before: a ball typed now must be saved as it was measured
  if (random()) state.chosen = changing.drawn(last);
  showTyped();
  await show();
  if (before.length && !ALONE) note("brought", `${say("brought", { n: before.length })}, ${ageOf(before, say)}.`);
  document.body.dataset.ready = "yes";
  awake();
  sender.send();
  await keepPages();
  await show();
  if (state.keptHere) readyEngine(); // from this phone: nothing is fetched for it
}

/** The choices of before are brought back; where all is usual, the part that keeps them comes when one looks at them. */
async function ways() {
  const measuring = () => part(() => import("./bucket/measuring.js"));
  if (!CHOICES.every((name) => USUAL.includes(recall(name)))) {
    const found = await measuring();
    found?.bringBack();
    found?.rememberChoices(show);
    return;
  }
  const places = ["ways", "order"].map((id) => element(id));
  const once = async () => {
    const found = await measuring();
    if (!found || !places.length) return; // asked for again when it is opened again
    for (const place of places.splice(0)) place.removeEventListener("toggle", once);
    found.rememberChoices(show);
  };
  for (const place of places) place.addEventListener("toggle", once);
}

/** Keeps the pages that this bucket opens without a signal, and what they are about. */
async function keepPages() {
  for (const link of document.querySelectorAll("a[data-of-bucket]"))
    if (link instanceof HTMLAnchorElement) link.hash = String(session);
  if (session > 0)
    await keepBucket({ id: session, key: "", player: "", unit, clubs, swings, at: Date.now() }).catch(() => null);
  state.keptHere = await everyKept([
    ...OURS.map(at),
    ...(session < 0 ? [] : [KNOWN_PATH, location.pathname + location.search]),
  ]);
}

/** Has the engine ready before its first answer is waited for. */
function readyEngine() {
  const idle = globalThis.requestIdleCallback || setTimeout;
  idle(async () => (await import("./bucket/here.js")).warmUp());
}

begin();

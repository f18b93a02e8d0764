// Everything that the page shows of its balls and its chart, anew after each change.
import { ALONE, at } from "../addresses.js";
import { all } from "../ball_store.js";
import { waits } from "../balls.js";
import { canKeep } from "../kept_here.js";
import { element, note, say } from "../page.js";
import { ageOf } from "../texts.js";
import { sameShot } from "./advice.js";
import { saysOf, showGrid } from "./grid.js";
import { showLists } from "./lists.js";
import { cellOf, hitToday, knownShot, leftToday, random, session, shotName, signOf, standing, state } from "./state.js";

/** Blocks follow the chart's advice: the shot it names, unless it is chosen already. */
export function advised() {
  const { live, chosen } = state;
  if (random() || !live || !state.fresh || live.stop || !live.next.length || leftToday() <= 0) return null;
  return sameShot(live.next[0], chosen) ? null : live.next[0];
}

function untilWhen() {
  const { live } = state;
  if (leftToday() <= 0) return say("child_enough", { n: hitToday() });
  return live && state.fresh && live.cells.length ? live.until : "";
}

/** What is not with the server yet, or that all of it is. */
function keptLine() {
  const waiting = state.balls.filter(waits);
  const mine = standing();
  const held = mine.filter((ball) => ball.why);
  if (ALONE) return mine.length ? say("all_alone", { n: mine.length }) : say("none_yet");
  if (waiting.length) {
    const why = state.net === "offline" ? say("no_server") : state.trouble;
    return `${say("wait_here", { n: waiting.length })}, ${ageOf(waiting, say)}. ${why}`;
  }
  return mine.length ? say("all_kept", { n: mine.length - held.length }) : say("none_yet");
}

function heldLine() {
  const held = standing().filter((ball) => ball.why);
  return held.length ? `${say("held", { n: held.length })}: ${held[held.length - 1].why}` : "";
}

function tierLine() {
  const online = state.keptHere ? "tier_full" : canKeep() ? "tier_making" : "tier_open";
  const here = state.fresh && state.live?.here ? "tier_here" : "tier_none";
  const tier = say(state.net === "offline" && !ALONE ? here : online);
  return state.mayClear ? `${tier}. ${say(ALONE ? "may_clear_alone" : "may_clear")}` : tier;
}

function cellLine() {
  const cell = state.fresh && cellOf(state.chosen);
  const says = saysOf(
    cell,
    standing().filter((ball) => sameShot(ball, state.chosen)),
  );
  if (!cell) return says;
  const more = cell.balls ? [say("cell_more", cell)] : [];
  return `${says}; ${[...more, say("cell_after", { ...cell, unit: state.live.unit })].join("; ")}`;
}

/** The chart of the server where one answers, else the phone's own. */
function showWayToChart() {
  const here = session < 0 || state.net === "offline";
  for (const link of document.querySelectorAll("a[data-chart]"))
    if (link instanceof HTMLAnchorElement)
      link.href = here ? `${at("/bucket/chart")}#${session}` : `/sessions/${session}`;
  const ways = document.getElementById("here-ways");
  if (ways) ways.hidden = !here;
}

/** A text that is there already is not written again: nothing is laid out anew. @param {string} id @param {string} text */
function put(id, text) {
  const line = element(id);
  if (line.textContent !== text) line.textContent = text;
}

/** The shot that is hit, with its sign. */
export function showTarget() {
  const target = element("target");
  const name = shotName(state.chosen);
  if (target.textContent === name) return;
  const says = Object.assign(document.createElement("span"), { textContent: name, dir: "auto" });
  target.replaceChildren(signOf(state.chosen.swing, 44), says);
}

/** A bucket of which this phone has no ball opens on the shot that comes next. */
function openOnNext() {
  if (state.balls.length) state.opening = false;
  const next = state.opening && !state.typed && advised();
  if (!next) return;
  state.opening = false;
  state.chosen = knownShot(next) || state.chosen;
}

export async function show() {
  state.balls = await all(session);
  openOnNext();
  const next = advised();
  showTarget();
  put("cell", cellLine());
  note("advice", next ? say("next", { shot: shotName(next) }) : "");
  showGrid(standing(), next);
  put("until", untilWhen());
  put("state", [state.said, heldLine(), keptLine()].filter(Boolean).join(" "));
  put("tier", tierLine());
  showWayToChart();
  showLists(state.balls, state.live);
}

// The chart worked out on this phone: the engine in a worker, asked with all balls that this phone knows of.
import { all } from "../ball_store.js";
import { LANGUAGE } from "../page.js";
import { ASKED, clubs, KNOWN_PATH, reads, session, shots, swings } from "./state.js";

/** @typedef {import("../here_buckets.js").Bucket} Bucket */

const ANSWER_MS = 60000;
const TEXTS = JSON.parse(document.getElementById("engine-texts")?.textContent || "{}");
const tongue = { texts: TEXTS, unit: reads, mark: (1.5).toLocaleString(LANGUAGE)[1] };
/** @type {Worker | null} */
let worker = null;
let asked = 0;
/** @type {Map<number, (answer: any) => void>} */
const waiting = new Map();

function engine() {
  if (worker) return worker;
  worker = new Worker(new URL("../engine/worker.js", import.meta.url), { type: "module" });
  worker.addEventListener("message", ({ data }) => {
    waiting.get(data.id)?.(data);
    waiting.delete(data.id);
  });
  worker.addEventListener("error", () => {
    for (const heard of waiting.values()) heard({ failed: { code: "engine" } });
    waiting.clear();
    worker = null;
  });
  return worker;
}

/** Has the engine loaded and its code compiled before somebody waits for it. */
export const warmUp = () => engine().postMessage({ id: 0, what: "warm" });

async function known() {
  if (session < 0) return { ground: "normal", plan: null, balls: [] };
  try {
    const answer = await fetch(KNOWN_PATH);
    if (answer.ok) return await answer.json();
  } catch {
    /* never heard of by a server: what is typed here is all */
  }
  return { ground: "normal", plan: null, balls: [] };
}

/** The plan that the server would begin with, where it told of none. */
const planned = () => ({ clubs: clubs.map((label) => ({ label })), swings: swings.map((label) => ({ label })) });

/**
 * The engine's answer: `found`, or `failed` with why in words, where it can say.
 * @param {"live" | "whole" | "calls" | "score" | "holds"} what
 * @param {object} question
 * @returns {Promise<{ found?: any, failed?: { code: string }, why?: string }>}
 */
export function ask(what, question) {
  const id = (asked += 1);
  return new Promise((heard) => {
    waiting.set(id, heard);
    setTimeout(() => heard({ failed: { code: "engine" } }), ANSWER_MS);
    engine().postMessage({ id, what, asked: question });
  });
}

/** All that this phone knows of the bucket of this page, as the engine is asked. */
export async function question() {
  const [told, typed] = [await known(), await all(session)];
  return { ...told, known: told.balls, plan: told.plan || planned(), typed, shots, tongue, child: ASKED.child };
}

/** The same of another bucket that was begun here. @param {Bucket} bucket */
export async function questionOf({ id, clubs: theirs, swings: lengths }) {
  const plan = { clubs: theirs.map((label) => ({ label })), swings: lengths.map((label) => ({ label })) };
  return { ground: "normal", known: [], plan, typed: await all(id), shots: [], tongue };
}

/**
 * What this phone works out of its balls: for the keys ("live") or the whole chart ("whole"); null where it cannot.
 * @param {"live" | "whole"} what
 */
export async function workOut(what) {
  return (await ask(what, await question())).found ?? null;
}

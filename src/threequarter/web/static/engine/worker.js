// The engine apart from the page: a question in, an answer out. The core is loaded when first asked.
import { makeReady } from "./core.js";
import { live, whole } from "./live.js";
import { calls, holds, score } from "./practice.js";
import { sayMessage } from "./say.js";
import { ROUNDS, warmUp } from "./warm.js";

/** @type {Record<string, (asked: any) => any>} */
const ANSWERS = { live, whole, calls, score, holds };
/** @type {Promise<void> | null} */
let ready = null;

async function load() {
  const answer = await fetch(new URL("core.wasm", import.meta.url));
  if (!answer.ok) throw new Error(`core.wasm: ${answer.status}`);
  await makeReady(await answer.arrayBuffer());
}

/** One round after the other, so that a question comes between; whoever asks meanwhile has the code compiled by that. @param {number} round */
async function warm(round) {
  ready ||= load();
  await ready;
  warmUp(round);
  if (round + 1 < ROUNDS) setTimeout(() => warm(round + 1));
  else postMessage({ warm: true });
}

addEventListener("message", async (event) => {
  const { id, what, asked } = event.data;
  if (what === "warm") {
    warm(0).catch(() => {
      ready = null; // asked in earnest it is tried again
    });
    return;
  }
  try {
    ready ||= load();
    await ready;
    const began = performance.now();
    const found = ANSWERS[what](asked);
    postMessage({ id, found, took_ms: performance.now() - began });
  } catch (error) {
    const { told } = /** @type {any} */ (error);
    if (!told) ready = null;
    const tongue = asked.tongue || asked.now?.tongue;
    postMessage({ id, failed: told || { code: String(error) }, why: told && tongue ? sayMessage(told, tongue) : "" });
  }
});

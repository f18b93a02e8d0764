// The engine apart from the page: a question in, an answer out. The core is loaded when first asked.
import { makeReady } from "./core.js";
import { live, whole } from "./live.js";

/** @type {Promise<void> | null} */
let ready = null;

async function load() {
  const answer = await fetch(new URL("core.wasm", import.meta.url));
  if (!answer.ok) throw new Error(`core.wasm: ${answer.status}`);
  await makeReady(await answer.arrayBuffer());
}

addEventListener("message", async (event) => {
  const { id, what, asked } = event.data;
  try {
    ready ||= load();
    await ready;
    const began = performance.now();
    const found = what === "live" ? live(asked) : whole(asked);
    postMessage({ id, found, took_ms: performance.now() - began });
  } catch (error) {
    ready = null;
    postMessage({ id, failed: /** @type {any} */ (error).told || { code: String(error) } });
  }
});

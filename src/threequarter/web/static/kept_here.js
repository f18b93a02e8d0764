// Whether a page opens without a signal: the worker looks into its store and says so. Nothing is claimed that was not looked up.
import { at } from "./addresses.js";

const ANSWER_MS = 5000;

/** Whether this browser can keep pages at all, at this address. */
export const canKeep = () => isSecureContext && "serviceWorker" in navigator;

/**
 * Has a page kept, and says whether it is: itself and all its files.
 * @param {string} path
 */
export async function keepHere(path) {
  if (!canKeep()) return false;
  try {
    await navigator.serviceWorker.register(at("/sw.js"));
    await controlled();
    if (await isKept(path)) return true;
    await fetch(path, { headers: { accept: "text/html" } }); // the worker keeps what passes through it
    return await isKept(path);
  } catch {
    return false;
  }
}

async function controlled() {
  await navigator.serviceWorker.ready;
  if (navigator.serviceWorker.controller) return;
  await new Promise((done) => {
    navigator.serviceWorker.addEventListener("controllerchange", done, { once: true });
  });
}

/**
 * @param {string} path
 * @returns {Promise<boolean>}
 */
function isKept(path) {
  const { port1, port2 } = new MessageChannel();
  return new Promise((done) => {
    setTimeout(() => done(false), ANSWER_MS);
    port1.onmessage = (event) => done(event.data.kept === true);
    navigator.serviceWorker.controller?.postMessage({ page: path }, [port2]);
  });
}

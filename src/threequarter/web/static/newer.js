// A newer version of these pages: says so, and opens it when asked. What is typed is in the phone's store, so no ball is lost.
import { ALONE, at } from "./addresses.js";
import { element, say } from "./page.js";

/** @param {() => unknown} act */
function offer(act) {
  const line = element("newer");
  const [says, button] = [line.querySelector("span"), line.querySelector("button")];
  if (!says || !button) return;
  says.textContent = say("newer");
  button.textContent = say("newer_open");
  button.addEventListener("click", act);
  line.hidden = false;
}

/** A worker that waits takes over when told; then the page is opened anew. @param {any} waiting */
const takeOver = (waiting) => waiting.postMessage({ takeOver: true });

/** @param {any} found the registration */
function watch(found) {
  if (found.waiting && navigator.serviceWorker.controller) offer(() => takeOver(found.waiting));
  found.addEventListener("updatefound", () => {
    const fresh = found.installing;
    fresh?.addEventListener("statechange", () => {
      if (fresh.state === "installed" && navigator.serviceWorker.controller) offer(() => takeOver(fresh));
    });
  });
}

let had = navigator.serviceWorker?.controller;
if (navigator.serviceWorker) {
  let anew = false;
  navigator.serviceWorker.addEventListener("controllerchange", () => {
    const first = !had; // the worker of this very version took the page over
    had = navigator.serviceWorker.controller;
    if (first || anew) return;
    anew = true;
    if (ALONE) location.reload();
    else offer(() => location.reload());
  });
  document.addEventListener("visibilitychange", async () => {
    if (!document.hidden) await (await navigator.serviceWorker.getRegistration())?.update().catch(() => null);
  });
  if (ALONE) navigator.serviceWorker.register(at("/sw.js")).then(watch, () => null);
}

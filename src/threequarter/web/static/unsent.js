// On every page: how many balls wait on this phone, and how old the oldest is. Only counts and times are read.
import { modern, unsent } from "./balls.js";
import { LANGUAGE } from "./page.js";
import { ageOf, makeSay } from "./texts.js";

const LOOK_AGAIN_MS = 20000;

/**
 * @param {HTMLElement} line
 * @param {import("./texts.js").Say} say
 * @param {any[]} kept
 */
function show(line, say, kept) {
  const waiting = kept.map(modern).filter(unsent);
  line.hidden = !waiting.length;
  const says = `${say("waits", { n: waiting.length })}, ${ageOf(waiting, say)}.`;
  if (waiting.length && line.firstElementChild) line.firstElementChild.textContent = says;
}

/**
 * @param {HTMLElement} line
 * @param {import("./texts.js").Say} say
 */
function look(line, say) {
  const asked = indexedDB.open("threequarter");
  asked.onupgradeneeded = () => asked.transaction?.abort(); // no ball was ever typed here: nothing is made
  asked.onerror = (event) => event.preventDefault();
  asked.onsuccess = () => {
    const base = asked.result;
    base.onversionchange = () => base.close();
    if (!base.objectStoreNames.contains("balls")) {
      base.close();
      return;
    }
    const found = base.transaction("balls").objectStore("balls").getAll();
    found.onsuccess = () => {
      base.close();
      show(line, say, found.result);
    };
  };
}

const line = document.getElementById("unsent");
if (line && "indexedDB" in window) {
  const say = makeSay(JSON.parse(line.dataset.texts || "{}"), LANGUAGE);
  look(line, say);
  setInterval(() => look(line, say), LOOK_AGAIN_MS);
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden) look(line, say);
  });
}

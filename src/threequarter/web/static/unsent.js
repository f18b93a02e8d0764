// On every page: how many balls wait on this phone, and how old the oldest is. Only counts and times are read.
"use strict";
(() => {
  const line = document.getElementById("unsent");
  if (!line || !("indexedDB" in window)) return;
  const texts = JSON.parse(line.dataset.texts);
  const say = (name, n) => (Array.isArray(texts[name]) ? texts[name][n === 1 ? 0 : 1] : texts[name]).replace("{n}", n);
  function age(oldest) {
    const minutes = Math.floor((Date.now() - oldest) / 60000);
    if (minutes < -1 || minutes > 366 * 1440) return say("age_unknown");
    if (minutes < 1) return say("age_now");
    if (minutes < 120) return say("age_minutes", minutes);
    return minutes < 2880 ? say("age_hours", Math.floor(minutes / 60)) : say("age_days", Math.floor(minutes / 1440));
  }
  const told = (ball) => (ball.told === true ? ball.rev || 1 : ball.told || 0);
  const unsent = (ball) => (ball.sent ? (ball.rev || (ball.back ? 1 : 0)) > told(ball) : !(ball.back && !ball.tried));
  function look() {
    const asked = indexedDB.open("threequarter");
    asked.onupgradeneeded = () => asked.transaction.abort(); // no ball was ever typed here: nothing is made
    asked.onerror = (event) => event.preventDefault();
    asked.onsuccess = () => {
      const base = asked.result;
      base.onversionchange = () => base.close();
      if (!base.objectStoreNames.contains("balls")) { base.close(); return; }
      const all = base.transaction("balls").objectStore("balls").getAll();
      all.onsuccess = () => {
        const waiting = all.result.filter(unsent);
        base.close();
        line.hidden = !waiting.length;
        if (waiting.length) line.firstElementChild.textContent = `${say("waits", waiting.length)}, ${age(Math.min(...waiting.map((ball) => ball.at)))}.`;
      };
    };
  }
  look();
  setInterval(look, 20000);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) look(); });
})();

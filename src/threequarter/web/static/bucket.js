// Balls typed with a thumb. A ball is in this phone's own store before the key lights up; it is sent until the server says so.
"use strict";
(async () => {
  const body = document.body;
  const session = Number(body.dataset.session);
  const unit = body.dataset.unit;
  const $ = (id) => document.getElementById(id);
  let typed = "";
  let strike = null;
  let busy = false;
  let live = null;
  let db = null;
  try {
    db = await idb.openDB("threequarter", 1, { upgrade(base) { base.createObjectStore("balls", { keyPath: "key" }).createIndex("session", "session"); } });
    if (navigator.storage && navigator.storage.persist) navigator.storage.persist();
  } catch { say("This browser keeps nothing when the page closes (a private window?). Balls are sent at once only."); }
  const memory = new Map();
  const store = {
    put: async (ball) => { if (db) await db.put("balls", ball); else memory.set(ball.key, ball); },
    all: async () => (db ? await db.getAllFromIndex("balls", "session", session) : [...memory.values()]).sort((a, b) => a.at - b.at),
  };
  function newKey() {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    return [...bytes].map((b) => b.toString(16).padStart(2, "0")).join("");
  }
  function say(text) { $("state").textContent = text; }
  const picked = (group, name) => document.querySelector(`#${group} [aria-checked=true]`)?.dataset[name];
  function pick(group, button) {
    for (const other of document.querySelectorAll(`#${group} button`)) other.setAttribute("aria-checked", String(other === button));
    show();
  }
  for (const group of ["clubs", "swings"]) {
    $(group).addEventListener("click", (event) => { if (event.target.matches("button")) pick(group, event.target); });
    $(group).addEventListener("keydown", (event) => {
      if (!["ArrowRight", "ArrowLeft"].includes(event.key)) return;
      const all = [...$(group).querySelectorAll("button")];
      const next = all[(all.indexOf(document.activeElement) + (event.key === "ArrowRight" ? 1 : all.length - 1)) % all.length];
      next.focus();
      pick(group, next);
    });
  }
  function press(key) {
    if (key === "back") typed = typed.slice(0, -1);
    else if (key === "." ? !typed.includes(".") && typed : typed.replace(".", "").length < 4) typed += key;
    $("typed").textContent = typed || "\u00a0";
  }
  $("keys").addEventListener("click", (event) => { const key = event.target.dataset.key; if (key) press(key); });
  document.addEventListener("keydown", (event) => {
    if (event.target.matches("button, a, summary") && event.key === "Enter") return;
    if (/^[0-9.]$/.test(event.key)) press(event.key);
    else if (event.key === ",") press(".");
    else if (event.key === "Backspace") press("back");
    else if (event.key === "Enter") save();
  });
  $("keys").addEventListener("click", (event) => {
    const wanted = event.target.dataset.strike;
    if (!wanted) return;
    strike = strike === wanted ? null : wanted;
    for (const button of document.querySelectorAll("[data-strike]")) button.setAttribute("aria-pressed", String(button.dataset.strike === strike));
    $("strike").textContent = strike || "";
  });
  $("save").addEventListener("click", save);
  async function save() {
    const carry = Number(typed);
    if (!typed || !(carry > 0)) { say("Type the carry first."); return; }
    const metres = carry * (unit === "yd" ? 0.9144 : 1);
    if (metres > 250) { say(`${typed} ${unit} is further than a wedge goes.`); return; }
    const ball = { key: newKey(), session, at: Date.now(), club: picked("clubs", "club"), swing: picked("swings", "swing"), carry, unit, strike, by: "device", sent: false, back: false, why: "" };
    try { await store.put(ball); } catch { say("This phone has no room left to keep the ball. Write it down."); return; }
    $("save").classList.add("lit");
    setTimeout(() => $("save").classList.remove("lit"), 180);
    typed = "";
    if (strike) document.querySelector(`[data-strike=${strike}]`).click();
    $("typed").textContent = "\u00a0";
    if (navigator.vibrate) navigator.vibrate(15);
    await show();
    send();
  }
  $("undo").addEventListener("click", async () => {
    const last = (await store.all()).filter((ball) => !ball.back).pop();
    if (!last) { say("There is no ball of this phone to take back."); return; }
    await store.put({ ...last, back: true, told: false });
    await show();
    send();
  });
  async function send() {
    if (busy) return;
    busy = true;
    try {
      const all = await store.all();
      const fresh = all.filter((ball) => !ball.sent && !(ball.back && !ball.tried) && ball.why === "").slice(0, 200);
      const back = all.filter((ball) => ball.back && !ball.told && (ball.sent || ball.tried)).map((ball) => ball.key);
      for (const ball of all.filter((one) => one.back && !one.tried && !one.sent)) await store.put({ ...ball, sent: true, told: true });
      if (fresh.length || back.length) {
        for (const ball of fresh) await store.put({ ...ball, tried: true });
        const answer = await fetch(`/api/sessions/${session}/balls`, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify({ balls: fresh.map(({ key, club, swing, carry, unit: u, strike: s, by }) => ({ key, club, swing, carry, unit: u, strike: s, by })), back }) });
        const told = await answer.json();
        if (told.error) throw new Error(told.error);
        const known = new Map((await store.all()).map((ball) => [ball.key, ball]));
        for (const { key, state, why } of told.outcomes) {
          const ball = known.get(key);
          if (!ball) continue;
          if (state === "saved" || state === "known") known.set(key, { ...ball, sent: true });
          else if (state === "taken back") known.set(key, { ...ball, told: true });
          else known.set(key, { ...ball, why });
          await store.put(known.get(key));
        }
      }
      const answer = await fetch(`/api/sessions/${session}/live`);
      if (answer.ok) live = await answer.json();
      online = true;
    } catch (error) {
      online = false;
      if (error instanceof Error && !(error instanceof TypeError) && error.name !== "AbortError") say(error.message);
    } finally {
      busy = false;
      await show();
    }
    const waiting = (await store.all()).some((ball) => (!ball.sent && ball.why === "") || (ball.back && !ball.told && ball.sent));
    clearTimeout(later);
    if (waiting) later = setTimeout(send, online ? 200 : 4000);
  }
  let online = true;
  let later = 0;
  async function show() {
    const all = await store.all();
    const mine = all.filter((ball) => !ball.back);
    const club = picked("clubs", "club");
    const swing = picked("swings", "swing");
    const cell = live && live.cells.find((one) => one.club === club && one.swing === swing);
    const here = mine.filter((ball) => ball.club === club && ball.swing === swing);
    const waiting = mine.filter((ball) => !ball.sent && !ball.why);
    if (cell && online) $("cell").textContent = cell.balls ? `${cell.carry} ± ${cell.doubt} ${live.unit}, ${cell.balls} ball${cell.balls === 1 ? "" : "s"}; next good one ${cell.next}` : `not hit yet; about ${cell.carry} ± ${cell.doubt} ${live.unit} by the other shots`;
    else if (here.length) {
      const carries = here.filter((ball) => !ball.strike || ball.strike === "heavy").map((ball) => ball.carry).sort((a, b) => a - b);
      const middle = carries.length ? carries[Math.floor(carries.length / 2)] : null;
      $("cell").textContent = `${here.length} ball${here.length === 1 ? "" : "s"} here${middle === null ? "" : `, middle ${middle} ${unit}, ${carries[0]} to ${carries[carries.length - 1]}`} (provisional)`;
    } else $("cell").textContent = `${club} ${swing}: no ball yet.`;
    const next = live && online && live.next && live.next[0];
    $("advice").hidden = !next || (next.club === club && next.swing === swing) || live.stop;
    if (next) { $("advice").textContent = `Next: ${next.club} ${next.swing}`; $("advice").dataset.club = next.club; $("advice").dataset.swing = next.swing; }
    const oldest = waiting.length ? Math.round((Date.now() - waiting[0].at) / 60000) : 0;
    const held = all.filter((ball) => ball.why);
    let text = waiting.length ? `${waiting.length} ball${waiting.length === 1 ? " waits" : "s wait"} here, the oldest ${oldest} min. ${online ? "" : "The server cannot be reached; nothing is lost."}` : `${mine.length} ball${mine.length === 1 ? "" : "s"} typed here, all kept by the server.`;
    if (held.length) text += ` ${held.length} not taken: ${held[0].why}`;
    if (live && online && live.stop) text += " The chart is good enough.";
    say(text);
    $("list").replaceChildren(...all.slice().reverse().slice(0, 60).map((ball) => {
      const item = document.createElement("li");
      item.textContent = `${ball.club} ${ball.swing} ${ball.carry} ${ball.unit}${ball.strike ? ` ${ball.strike}` : ""}${ball.back ? " (taken back)" : ball.why ? ` (${ball.why})` : ball.sent ? "" : " (waits)"}`;
      return item;
    }));
    $("file").href = `data:application/json,${encodeURIComponent(JSON.stringify(all.filter((ball) => !ball.sent)))}`;
  }
  $("advice").addEventListener("click", () => {
    for (const [group, name] of [["clubs", "club"], ["swings", "swing"]]) {
      const button = document.querySelector(`#${group} [data-${name}="${CSS.escape($("advice").dataset[name])}"]`);
      if (button) pick(group, button);
    }
  });
  addEventListener("online", send);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) { send(); awake(); } });
  async function awake() { try { await navigator.wakeLock.request("screen"); } catch { /* the screen may sleep: nothing is lost */ } }
  const before = (await store.all()).filter((ball) => !ball.sent && !ball.back).length;
  await show();
  if (before) say(`${before} ball${before === 1 ? "" : "s"} from before were brought back on this phone.`);
  awake();
  send();
  if ("serviceWorker" in navigator) navigator.serviceWorker.register("/sw.js").catch(() => {});
  else say("On this address the page works while it stays open; balls are kept here until they are sent.");
})();

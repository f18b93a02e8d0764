// The balls of this phone. A ball is in IndexedDB, on the disk, before anything says that it is kept.
// A record is what was typed, with the key made here; `base` is what was sent first (it never changes after that), `rev` counts the
// changes since, `told` is the last change that the server has. Names of players are not kept here.
"use strict";
const BallStore = (() => {
  const memory = new Map();
  let base = null;
  let refused = false;

  async function open() {
    try {
      base = await idb.openDB("threequarter", 1, { upgrade(made) { made.createObjectStore("balls", { keyPath: "key" }).createIndex("session", "session"); } });
    } catch { base = null; }
    return base !== null;
  }
  function newKey() {
    return [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  }
  // Records of an earlier version of this page know only whether a ball was taken back.
  function modern(ball) {
    if (typeof ball.rev === "number") return ball;
    const content = (({ club, swing, carry, unit, strike, by }) => ({ club, swing, carry, unit, strike, by }))(ball);
    const rev = ball.back && (ball.tried || ball.sent) ? 1 : 0;
    return { ...ball, n: 0, rev, told: ball.told === true ? rev : 0, base: ball.tried || ball.sent ? content : null };
  }
  async function put(...balls) {
    if (base) {
      try {
        const act = base.transaction("balls", "readwrite", { durability: "strict" });
        for (const ball of balls) act.store.put(ball);
        await act.done;
        for (const ball of balls) memory.delete(ball.key);
        return true;
      } catch { refused = true; }
    }
    for (const ball of balls) memory.set(ball.key, ball);
    return false;
  }
  async function all(session) {
    let kept = [];
    if (base) {
      try { kept = session === undefined ? await base.getAll("balls") : await base.getAllFromIndex("balls", "session", session); } catch { refused = true; }
    }
    const held = [...memory.values()].filter((ball) => session === undefined || ball.session === session);
    const keys = new Set(held.map((ball) => ball.key));
    return [...kept.filter((ball) => !keys.has(ball.key)), ...held].map(modern).sort((a, b) => a.n - b.n || a.at - b.at);
  }
  async function drop(key) {
    memory.delete(key);
    if (base) try { await base.delete("balls", key); } catch { refused = true; }
  }
  const phone = () => {
    try {
      const known = localStorage.getItem("phone") || newKey();
      localStorage.setItem("phone", known);
      return known;
    } catch { return ""; }
  };
  // Not with the server yet: the ball itself, or the last change of it. A ball deleted before it was ever sent never goes.
  const unsent = (ball) => (ball.sent ? ball.rev > ball.told : !(ball.back && !ball.tried));
  const waits = (ball) => unsent(ball) && !ball.why;
  return { open, put, all, drop, newKey, phone, unsent, waits, refused: () => refused || (base === null && memory.size > 0), works: () => base !== null };
})();

// A number with the decimal mark of the page's language; anything else as it is.
const MARK = (1.5).toLocaleString(document.documentElement.lang || "en")[1];
const Written = (value) => (/^-?\d+\.\d*$/.test(String(value)) ? String(value).replace(".", MARK) : String(value));

// Texts of the page: {n} is filled in, and chooses the form where there are two.
const Texts = (() => {
  const found = document.getElementById("texts");
  const texts = found ? JSON.parse(found.textContent) : {};
  return (name, values = {}) => {
    const text = texts[name];
    const form = Array.isArray(text) ? text[values.n === 1 ? 0 : 1] : text ?? name;
    return form.replace(/\{(\w+)\}/g, (all, word) => (word in values ? Written(values[word]) : all)).replace(/± /g, "±\u00a0");
  };
})();

// How old the oldest of some balls is, in words; a changed clock is told, not computed with.
function ageOf(balls) {
  if (!balls.length) return "";
  const minutes = Math.floor((Date.now() - Math.min(...balls.map((ball) => ball.at))) / 60000);
  if (minutes < -1 || minutes > 366 * 1440) return Texts("age_unknown");
  if (minutes < 1) return Texts("age_now");
  if (minutes < 120) return Texts("age_minutes", { n: minutes });
  return minutes < 2880 ? Texts("age_hours", { n: Math.floor(minutes / 60) }) : Texts("age_days", { n: Math.floor(minutes / 1440) });
}

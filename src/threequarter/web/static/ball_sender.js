// Sends what waits, again and again, until the server has said of each ball what became of it. Sending twice changes nothing there.
"use strict";
function BallSender(session, heard, live = undefined) {
  const CONTENT = ["club", "swing", "carry", "unit", "strike", "side", "by", "step", "count", "radius_m", "start_radius_m", "guess", "guess_unit"];
  const PATIENCE_MS = 15000;
  let busy = false;
  let again = false;
  let later = 0;
  let misses = 0;
  let refusal = "";
  let chart = null; // the chart that came with the last answer
  let trouble = ""; // what a server that answers but cannot keep (a full disk) said last
  const contentOf = (ball) => Object.fromEntries(CONTENT.filter((name) => ball[name] !== undefined && ball[name] !== null).map((name) => [name, ball[name]]));

  async function post(path, body) {
    const patience = new AbortController();
    const timer = setTimeout(() => patience.abort(), PATIENCE_MS);
    try {
      return await fetch(path, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(body), signal: patience.signal });
    } finally { clearTimeout(timer); }
  }
  // First what was never tried is marked as tried, on the disk: from then on its first content stands and changes are changes.
  async function batch() {
    const all = (await BallStore.all(session)).filter(BallStore.waits);
    const fresh = all.filter((ball) => !ball.sent).slice(0, 200);
    const marked = fresh.filter((ball) => !ball.tried).map((ball) => ({ ...ball, tried: true, base: contentOf(ball) }));
    if (marked.length) await BallStore.put(...marked);
    const changed = all.filter((ball) => ball.sent && ball.rev > ball.told).slice(0, 200);
    const age = (ball) => Math.max(-1, (Date.now() - ball.at) / 1000);
    return {
      balls: fresh.map((ball) => ({ key: ball.key, age_s: age(ball), ...(ball.base || contentOf(ball)) })),
      changes: changed.map((ball) => ({ key: ball.key, rev: ball.rev, back: Boolean(ball.back), ...contentOf(ball) })),
    };
  }
  async function settle(outcomes) {
    const known = new Map((await BallStore.all(session)).map((ball) => [ball.key, ball]));
    const told = [];
    for (const { key, state, why, rev } of outcomes) {
      const ball = known.get(key);
      if (!ball) continue;
      const next = { ...ball };
      if (state === "saved" || state === "known") next.sent = true;
      else if (state === "changed") next.told = Math.max(next.told, rev);
      else if (state === "conflict") { next.sent = true; next.conflict = true; }
      else if (state === "refused") next.why = why || "?";
      known.set(key, next);
      told.push(next);
    }
    if (told.length) await BallStore.put(...told);
  }
  async function round() {
    const body = await batch();
    if (!body.balls.length && !body.changes.length) return "done";
    const answer = await post(`/api/sessions/${session}/balls`, { ...body, phone: BallStore.phone(), live });
    if (answer.status === 401) return "signed out";
    if (answer.status === 403) {
      refusal = (await answer.json().catch(() => ({}))).error || ""; // an account that may not; a phone that is not paired gets a plain line
      return "unpaired";
    }
    if (answer.status === 410 || answer.status === 404) return "gone";
    if (!answer.ok) {
      const told = await answer.json().catch(() => ({}));
      trouble = told.error || String(answer.status);
      throw new Error(trouble);
    }
    trouble = "";
    const told = await answer.json();
    await settle(told.outcomes);
    chart = told.live;
    return "more";
  }
  async function send() {
    if (busy) { again = true; return; }
    busy = true;
    clearTimeout(later);
    let state = "online";
    chart = null;
    try {
      let step = await round();
      while (step === "more") step = await round();
      if (step !== "done") state = step;
      if (step === "unpaired") trouble = refusal;
      misses = 0;
    } catch (error) {
      if (error instanceof TypeError || error.name === "AbortError") trouble = "";
      state = trouble ? "trouble" : "offline";
      misses += 1;
    }
    busy = false;
    await heard(state, trouble, chart);
    if (again) { again = false; send(); return; }
    const waiting = (await BallStore.all(session)).some(BallStore.waits);
    if (state === "offline" || state === "trouble" || (waiting && state === "online")) later = setTimeout(send, Math.min(30000, 1500 * 2 ** Math.min(misses, 5)));
  }
  return { send, post, contentOf };
}

// Balls typed with a thumb. A ball is in this phone's own store before the key lights up; it is sent until the server says so.
"use strict";
(async () => {
  const body = document.body;
  const session = Number(body.dataset.session);
  const unit = body.dataset.unit;
  const METRES = { yd: 0.9144, m: 1 };
  const SHARES = { paces: [0.4, 1.3], far: 250, near: 0.5 };
  const ASKED = { clubs: JSON.parse(body.dataset.clubs).join(","), swings: JSON.parse(body.dataset.swings).join(",") };
  const LIVE_PATH = `/api/sessions/${session}/live?${new URLSearchParams(ASKED)}`;
  const $ = (id) => document.getElementById(id);
  const clubs = JSON.parse(body.dataset.clubs);
  const swings = JSON.parse(body.dataset.swings);
  const shots = clubs.flatMap((club) => swings.map((swing) => ({ club, swing })));
  const recall = (name, usual) => { try { return localStorage.getItem(name) ?? usual; } catch { return usual; } };
  const remember = (name, value) => { try { localStorage.setItem(name, value); } catch { /* it holds until the page closes */ } };

  let chosen = shots[0];
  let typed = "";
  let strike = null;
  let side = "";
  let sideTyped = "";
  let guess = null;
  let measured = null;
  let mending = null;
  let live = null;
  let fresh = false;
  let net = "online";
  let said = "";
  let mayClear = false;
  let trouble = "";
  let works = true;
  let pile = Number(recall("pile", "10"));

  const by = () => document.querySelector("[name=by]:checked").value;
  const random = () => document.querySelector("[name=order]:checked").value === "random";
  const paced = () => by() === "paces";
  const typedUnit = () => (paced() ? Texts("paces") : unit);
  const sameShot = (a, b) => a && b && a.club === b.club && a.swing === b.swing;
  const shotName = (shot) => `${shot.club} ${shot.swing}`;
  function say(text) { said = text; $("state").textContent = text; }
  function note(id, text) { $(id).textContent = text; $(id).hidden = !text; }

  // The step of the player, from a walk over a known distance: [paces, metres], or none.
  function step() {
    const [paces, over] = ["paces", "over"].map((name) => Number(recall(`step-${name}`, "").replace(",", ".")));
    const length = over / paces;
    return paces >= 10 && length >= SHARES.paces[0] && length <= SHARES.paces[1] ? [paces, over] : null;
  }
  const unitMetres = () => { const own = step(); return paced() ? (own ? own[1] / own[0] : 0.9) : METRES[unit]; };

  // Typing

  function press(key) {
    const now = side ? sideTyped : typed;
    let next = now;
    if (key === "back") {
      if (!now && side) { side = ""; showTyped(); return; }
      if (!now && guess !== null && !mending) { typed = String(guess); guess = null; showTyped(); return; }
      next = now.slice(0, -1);
    } else if (key === "." ? !now.includes(".") && now : now.replace(".", "").length < 4) next = now + key;
    if (side) sideTyped = next; else { typed = next; measured = null; }
    showTyped();
  }
  const guessing = () => $("with-guess").checked && guess === null && !mending;
  function showTyped() {
    $("typed").textContent = Written(typed) || "\u00a0";
    $("unit").textContent = guessing() ? unit : typedUnit();
    $("strike").textContent = strike ? Texts(strike) : "";
    $("side-shown").textContent = side ? Texts(side, { n: sideTyped || "…" }) : "";
    $("guess-shown").textContent = guess === null ? "" : Texts("guess_is", { n: guess });
    $("save").textContent = guessing() ? Texts("keep_guess") : Texts("save");
    for (const button of document.querySelectorAll("[data-strike]")) button.setAttribute("aria-pressed", String(button.dataset.strike === strike));
    for (const button of document.querySelectorAll("[data-side]")) button.setAttribute("aria-pressed", String(button.dataset.side === side));
  }
  $("keys").addEventListener("click", (event) => {
    const { key, strike: hit, side: to } = event.target.dataset;
    if (key) press(key);
    if (hit) { strike = strike === hit ? null : hit; showTyped(); }
    if (to) { side = side === to ? "" : to; if (!side) sideTyped = ""; showTyped(); }
  });
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.target.matches("input:not([type=radio], [type=checkbox]), select, textarea")) return;
    if (event.target.matches("button, a, summary") && event.key === "Enter") return;
    if (/^[0-9.]$/.test(event.key)) press(event.key);
    else if (event.key === ",") press(".");
    else if (event.key === "Backspace") press("back");
    else if (event.key === "Enter") (mending ? keepMended : save)();
    else if (event.key === "Escape" && mending) stopMending();
    else return;
    event.preventDefault();
  });
  // A tap leaves no focus behind, so that "Enter" saves and does not tap again; who goes by keyboard keeps it.
  document.addEventListener("click", (event) => {
    const tapped = event.detail > 0 && event.target.closest("main button");
    if (tapped) tapped.blur();
  });
  // What is typed, as a number that a wedge can carry, or null with the reason said.
  function number() {
    const value = Number(typed);
    const metres = value * (guessing() ? METRES[unit] : unitMetres());
    if (!typed) say(Texts(guessing() ? "type_guess" : "type_first"));
    else if (metres > SHARES.far) say(Texts("too_far", { typed, unit: typedUnit() }));
    else if (!(metres >= SHARES.near)) say(Texts("too_short", { typed, unit: typedUnit() }));
    else if (side && Number(sideTyped) > value) say(Texts("side_too_far"));
    else return value;
    return null;
  }
  function clear() { typed = ""; strike = null; side = ""; sideTyped = ""; guess = null; measured = null; showTyped(); }
  function content(carry) {
    const way = by();
    const found = { club: chosen.club, swing: chosen.swing, carry, unit: paced() ? "paces" : unit, strike, side: side && sideTyped ? Number(sideTyped) * (side === "left" ? -1 : 1) : null, by: way };
    if (paced()) found.step = step();
    if (way === "pile") found.count = pile;
    if (way === "position" && measured) { found.radius_m = measured.end; found.start_radius_m = measured.start; }
    if (guess !== null) { found.guess = guess; found.guess_unit = unit; }
    return found;
  }
  async function add(made) {
    const all = await BallStore.all(session);
    const ball = { key: BallStore.newKey(), session, n: 1 + Math.max(0, ...all.map((one) => one.n)), at: Date.now(), rev: 0, told: 0, tried: false, sent: false, back: false, why: "", base: null, ...made };
    const kept = await BallStore.put(ball);
    if (!kept) note("notice", Texts(BallStore.works() ? "no_room" : "memory_only"));
    $("save").classList.add("lit");
    setTimeout(() => $("save").classList.remove("lit"), 180);
    if (navigator.vibrate) navigator.vibrate(15);
    note("brought", "");
    await show();
    sender.send();
    return ball;
  }
  // A second tap finds nothing typed: the number is taken before anything is waited for.
  let adding = Promise.resolve();
  function save() {
    if (by() === "position" && !measured && !guessing()) { say(Texts(Place.marked() ? "type_first" : "mat_missing")); return; }
    const carry = number();
    if (carry === null) return;
    if (guessing()) { guess = carry; typed = ""; say(""); showTyped(); return; }
    const made = content(carry);
    clear();
    say(made.guess === undefined ? "" : Texts("guessed", { guess: made.guess, carry: made.carry }));
    // The next shot is drawn before the ball is written: a number typed meanwhile belongs to it.
    if (random()) { chosen = draw(made, [made]); $("target").textContent = shotName(chosen); }
    adding = adding.then(() => add(made));
  }
  $("save").addEventListener("click", save);
  let repeated = 0;
  $("again").addEventListener("click", async () => {
    if (Date.now() - repeated < 400) return;
    repeated = Date.now();
    const last = (await BallStore.all(session)).filter((ball) => !ball.back && !ball.why).pop();
    if (!last) { repeated = 0; say(Texts("nothing_again")); return; }
    const made = sender.contentOf(last);
    delete made.guess;
    delete made.guess_unit;
    adding = adding.then(() => add(made));
  });
  $("undo").addEventListener("click", async () => {
    await adding;
    if (typed || strike || side) { clear(); return; }
    const last = (await BallStore.all(session)).filter((ball) => !ball.back).pop();
    if (!last) { say(Texts("nothing_back")); return; }
    await change(last, { back: true, why: "" });
    say(Texts("taken_back", { ball: sayBall(last) }));
  });

  // Changing an earlier ball. What the server never saw is simply other; what it saw gets a change with the next number.
  async function change(ball, parts) {
    if (ball) {
      const now = (await BallStore.all(session)).find((one) => one.key === ball.key) || ball;
      const refused = now.why !== "" && !now.sent;
      const next = refused ? { ...now, ...parts, tried: false, base: null } : { ...now, ...parts, rev: now.tried || now.sent ? now.rev + 1 : now.rev };
      await BallStore.put(next);
    }
    await show();
    sender.send();
  }
  function mend(ball) {
    mending = ball;
    chosen = shots.find((shot) => sameShot(shot, ball)) || chosen;
    typed = String(ball.carry);
    strike = ball.strike || null;
    side = ball.side ? (ball.side < 0 ? "left" : "right") : "";
    sideTyped = ball.side ? String(Math.abs(ball.side)) : "";
    $("acts").hidden = true;
    $("mend-acts").hidden = false;
    say(Texts("mending", { ball: sayBall(ball) }));
    showTyped();
    show();
    scrollTo(0, 0);
    $("mend-keep").focus({ preventScroll: true });
  }
  function stopMending() {
    mending = null;
    $("acts").hidden = false;
    $("mend-acts").hidden = true;
    clear();
    show();
  }
  async function keepMended() {
    const ball = mending;
    const carry = Number(typed);
    const metres = carry * (ball.unit === "paces" ? unitMetres() : METRES[ball.unit]);
    if (!(metres >= SHARES.near && metres <= SHARES.far)) { say(Texts(metres > SHARES.far ? "too_far" : "too_short", { typed, unit: ball.unit })); return; }
    if (side && Number(sideTyped) > carry) { say(Texts("side_too_far")); return; }
    const parts = { club: chosen.club, swing: chosen.swing, carry, strike, side: side && sideTyped ? Number(sideTyped) * (side === "left" ? -1 : 1) : null, why: "" };
    stopMending();
    await change(ball, parts);
    say(Texts("mended", { ball: sayBall({ ...ball, ...parts }) }));
  }
  $("mend-keep").addEventListener("click", keepMended);
  $("mend-cancel").addEventListener("click", stopMending);
  $("mend-delete").addEventListener("click", async () => {
    const ball = mending;
    stopMending();
    await change(ball, { back: true, why: "" });
    say(Texts("deleted", { ball: sayBall(ball) }));
  });

  // What to hit: blocks follow the chart's advice; random order draws from the shots that still need balls, the same draws for the same session.
  function draw(last, more = []) {
    const mine = [...current.filter((ball) => !ball.back), ...more];
    const hit = (shot) => mine.filter((ball) => sameShot(ball, shot)).length;
    const needed = live && fresh ? shots.filter((shot) => cellOf(shot)?.need) : [];
    const fewest = Math.min(...shots.map(hit));
    let pool = needed.length ? needed : shots.filter((shot) => hit(shot) < fewest + 3);
    if (pool.length > 1) pool = pool.filter((shot) => !sameShot(shot, last));
    return pool[Math.floor(chance(session, mine.length) * pool.length)] || shots[0];
  }
  // A number from 0 to 1 out of the session and the count of balls (the mixing of a 32-bit hash; Steele et al. 2014, SplitMix, its 32-bit form).
  function chance(...parts) {
    let state = 0x9e3779b9;
    for (const part of parts) {
      state = (state + Math.imul(part + 1, 0x9e3779b9)) | 0;
      state = Math.imul(state ^ (state >>> 16), 0x85ebca6b);
      state = Math.imul(state ^ (state >>> 13), 0xc2b2ae35);
      state ^= state >>> 16;
    }
    return (state >>> 0) / 2 ** 32;
  }
  function advised() {
    if (random() || !live || !fresh || live.stop || !live.next.length) return null;
    return sameShot(live.next[0], chosen) ? null : live.next[0];
  }
  $("advice").addEventListener("click", () => { const next = advised(); if (next) { chosen = { club: next.club, swing: next.swing }; show(); } });

  // The grid of shots: the chart as it fills, and the way to choose another with one tap.
  const cellOf = (shot) => live && live.cells.find((cell) => sameShot(cell, shot));
  const grid = $("shots");
  grid.style.gridTemplateColumns = `minmax(2.2rem, max-content) repeat(${swings.length}, minmax(58px, 1fr))`;
  function heading(text, name) { const made = document.createElement("span"); made.className = name; made.textContent = text; made.dir = "auto"; return made; }
  const buttons = new Map();
  grid.append(heading("", "head"), ...swings.map((swing) => heading(swing, "head")));
  for (const club of clubs) {
    grid.append(heading(club, "side-head"));
    for (const swing of swings) {
      const made = document.createElement("button");
      made.type = "button";
      made.setAttribute("role", "radio");
      made.setAttribute("aria-checked", "false");
      made.dataset.club = club;
      made.dataset.swing = swing;
      made.setAttribute("aria-label", `${club} ${swing}`);  // until the chart is there, and says more
      buttons.set(`${club}\n${swing}`, made);
      grid.append(made);
    }
  }
  grid.addEventListener("click", (event) => {
    const button = event.target.closest("button");
    if (button) { chosen = shots.find((shot) => sameShot(shot, button.dataset)); show(); }
  });
  grid.addEventListener("keydown", (event) => {
    const move = { ArrowRight: 1, ArrowLeft: -1, ArrowDown: swings.length, ArrowUp: -swings.length }[event.key];
    if (!move) return;
    event.preventDefault();
    const at = shots.findIndex((shot) => sameShot(shot, chosen));
    chosen = shots[(at + move + shots.length) % shots.length];
    show();
    buttons.get(`${chosen.club}\n${chosen.swing}`).focus();
  });
  function showGrid(mine, next) {
    for (const shot of shots) {
      const button = buttons.get(`${shot.club}\n${shot.swing}`);
      const cell = fresh && cellOf(shot);
      const here = mine.filter((ball) => sameShot(ball, shot));
      const middle = spread(here);
      const mark = document.createElement("b");
      const small = document.createElement("small");
      mark.textContent = cell ? cell.carry : middle ? middle.middle : "·";
      small.textContent = cell ? (cell.balls ? `±${cell.doubt} · ${cell.balls}` : `±${cell.doubt}`) : here.length ? String(here.length) : "";
      button.replaceChildren(mark, document.createElement("br"), small);
      button.classList.toggle("guessed", Boolean(cell && !cell.balls));
      button.classList.toggle("wanted", sameShot(next, shot));
      button.setAttribute("aria-checked", String(sameShot(shot, chosen)));
      button.tabIndex = sameShot(shot, chosen) ? 0 : -1;
      button.setAttribute("aria-label", Texts("cell_label", { shot: shotName(shot), says: saysOf(cell, here, middle) }));
    }
  }
  const good = (ball) => !ball.strike || ball.strike === "heavy" || ball.strike === "good";
  // Count, middle and ends of this phone's own balls: all there is without a server, and marked as provisional.
  function spread(balls) {
    const carries = balls.filter((ball) => good(ball) && ball.unit === unit).map((ball) => ball.carry).sort((a, b) => a - b);
    if (!carries.length) return null;
    const half = carries.length / 2;
    const middle = carries.length % 2 ? carries[Math.floor(half)] : (carries[half - 1] + carries[half]) / 2;
    return { middle: Math.round(10 * middle) / 10, low: carries[0], high: carries[carries.length - 1] };
  }
  function saysOf(cell, here, middle) {
    if (cell && cell.balls) return [Texts("cell_hit", { ...cell, unit: live.unit }), Texts("balls", { n: cell.balls })].join(", ");
    if (cell) return Texts("cell_inferred", { ...cell, unit: live.unit });
    if (!here.length) return Texts("cell_none");
    return [Texts("cell_here", { n: here.length }), ...(middle ? [Texts("cell_middle", { ...middle, unit })] : [])].join(", ");
  }

  let current = [];
  async function show() {
    current = await BallStore.all(session);
    const mine = current.filter((ball) => !ball.back);
    const cell = fresh && cellOf(chosen);
    const here = mine.filter((ball) => sameShot(ball, chosen));
    const next = advised();
    $("target").textContent = shotName(chosen);
    $("cell").textContent = saysOf(cell, here, spread(here)) + (cell ? `; ${[...(cell.balls ? [Texts("cell_more", cell)] : []), Texts("cell_after", { ...cell, unit: live.unit })].join("; ")}` : "");
    note("advice", next ? Texts("next", { shot: shotName(next) }) : "");
    showGrid(mine, next);
    $("until").textContent = !live || !fresh || !live.cells.length ? "" : live.until;
    const waiting = current.filter(BallStore.waits);
    const held = mine.filter((ball) => ball.why);
    const state = waiting.length ? `${Texts("wait_here", { n: waiting.length })}, ${ageOf(waiting)}. ${net === "offline" ? Texts("no_server") : trouble}` : mine.length ? Texts("all_kept", { n: mine.length - held.length }) : Texts("none_yet");
    $("state").textContent = [said, held.length ? `${Texts("held", { n: held.length })}: ${held[held.length - 1].why}` : "", state].filter(Boolean).join(" ");
    $("tier").textContent = net === "offline" ? Texts("tier_none") : isSecureContext && "serviceWorker" in navigator ? Texts("tier_full") : Texts("tier_open");
    if (mayClear) $("tier").textContent += `. ${Texts("may_clear")}`;
    lists.show(current, live);
  }

  // The server

  let last = { chart: 0, timer: 0 };
  async function heard(state, why, chart) {
    net = state === "offline" ? "offline" : "online";
    trouble = state === "trouble" ? Texts("server_said", { why }) : "";
    if (state === "online") note("notice", BallStore.refused() ? Texts(BallStore.works() ? "no_room" : "memory_only") : works ? "" : Texts("memory_only"));
    if (state === "offline") fresh = false;
    if (state === "gone") note("notice", Texts("gone"));
    lists.showGone(state === "gone");
    if (state === "unpaired" || state === "signed out") {
      if ("caches" in window) caches.delete("threequarter-seen"); // names and charts are forgotten; balls are not
      const out = state === "signed out";
      note("notice", out ? Texts("signed_out") : why || Texts("unpaired"));
      const link = document.createElement("a");
      link.href = out ? `/sign-in?back=${encodeURIComponent(location.pathname + location.search)}` : "/pair";
      link.textContent = Texts(out ? "sign_in" : "pair");
      if (out || !why) $("notice").append(" ", link);
    }
    if (state === "online" && chart) charted(chart);
    await show();
    if (state === "online" && !chart) follow().then(show);
  }
  async function follow() {
    try {
      const answer = await fetch(LIVE_PATH, { signal: AbortSignal.timeout ? AbortSignal.timeout(10000) : undefined });
      if (!answer.ok) return;
      charted(await answer.json());
    } catch { fresh = false; net = "offline"; }
  }
  function charted(told) {
    live = told;
    fresh = true;
    if (live.cells.length && live.balls !== last.chart) {
      last.chart = live.balls;
      clearTimeout(last.timer);
      last.timer = setTimeout(pictures, 4000);
    }
  }
  // The last chart and card, asked for so that this phone keeps them.
  function pictures() {
    for (const [id, path] of [["last-chart", `/bucket/${session}/chart.svg`], ["last-card", `/bucket/${session}/card.png`]]) {
      fetch(path).then(async (answer) => {
        if (!answer.ok) return;
        const kept = await answer.blob();
        if (kept.size) { $(id).src = path; $(id).hidden = false; }
      }).catch(() => {});
    }
  }
  $("last").addEventListener("toggle", () => { if ($("last").open) pictures(); });
  addEventListener("online", () => sender.send());
  document.addEventListener("visibilitychange", () => { if (!document.hidden) { sender.send(); awake(); } });
  addEventListener("pageshow", (event) => { if (event.persisted) { show(); sender.send(); } });
  async function awake() { try { await navigator.wakeLock.request("screen"); } catch { /* the screen may sleep: nothing is lost */ } }

  // How it was measured, in which order, with guess and side: kept on this phone.
  function choose() {
    const way = by();
    $("step").hidden = way !== "paces";
    $("place-rules").hidden = way !== "position";
    $("way-pile").hidden = way !== "pile";
    $("way-place").hidden = way !== "position";
    $("pile").textContent = Texts("pile_of", { n: pile });
    const own = step();
    const [paces, over] = [$("step-paces").value, $("step-over").value].map((text) => Number(text.replace(",", ".")));
    $("step-says").textContent = own ? Texts("step_is", { step: (own[1] / own[0]).toFixed(2) }) : paces && over ? Texts("step_bad", { step: (over / paces).toFixed(2) }) : Texts("step_usual");
    body.classList.toggle("with-side", $("with-side").checked);
    showTyped();
  }
  for (const name of ["by", "order"]) {
    const kept = document.querySelector(`[name=${name}][value="${CSS.escape(recall(name, ""))}"]`);
    if (kept) kept.checked = true;
    for (const input of document.querySelectorAll(`[name=${name}]`)) input.addEventListener("change", () => { remember(name, input.value); measured = null; choose(); show(); });
  }
  for (const name of ["with-guess", "with-side"]) {
    $(name).checked = recall(name, "") === "yes";
    $(name).addEventListener("change", () => { remember(name, $(name).checked ? "yes" : ""); clear(); choose(); });
  }
  for (const name of ["step-paces", "step-over"]) {
    $(name).value = recall(name, "");
    $(name).addEventListener("input", () => { remember(name, $(name).value); choose(); });
  }
  $("way-pile").addEventListener("click", (event) => {
    const by1 = Number(event.target.dataset.pile);
    if (!by1) return;
    pile = Math.min(200, Math.max(1, pile + by1));
    remember("pile", String(pile));
    choose();
  });
  const PLACE = { none: "place_none", refused: "place_refused", failed: "place_failed" };
  async function placed(act) {
    const tell = (n, radius) => { $("place-says").textContent = Texts("place_looking", { n, radius: Math.round(radius) }); };
    if (!$("nobody").checked) { $("place-says").textContent = Texts("nobody_plays"); return; }
    try { $("place-says").textContent = await act(tell); } catch (error) { $("place-says").textContent = Texts(PLACE[error.message] || "place_failed"); }
  }
  $("at-mat").addEventListener("click", () => placed(async (tell) => Texts("mat_marked", { radius: Math.round(await Place.markMat(tell)) })));
  $("at-ball").addEventListener("click", () => placed(async (tell) => {
    if (!Place.marked()) return Texts("mat_missing");
    if (guessing()) return Texts("type_guess");
    const found = await Place.atBall(tell);
    const doubt = 1.645 * Math.hypot(found.start, found.end) / 2.448;
    if (doubt > found.metres / 2) return Texts("too_unsure");
    typed = (found.metres / METRES[unit]).toFixed(1);
    measured = found;
    showTyped();
    return Texts("at_ball", { distance: typed, unit, doubt: (doubt / METRES[unit]).toFixed(0), start: Math.round(found.start), end: Math.round(found.end) });
  }));

  const sender = BallSender(session, heard, ASKED);
  const lists = BallLists(session, { sender, mend, changed: async (ball, parts) => { await change(ball, parts); }, ask: (text) => { say(text); } });
  works = await BallStore.open();
  if (!works) note("notice", Texts("memory_only"));
  else if (navigator.storage && navigator.storage.persist && !(await navigator.storage.persist().catch(() => false))) mayClear = true;
  const before = (await BallStore.all(session)).filter(BallStore.unsent);
  const played = (await BallStore.all(session)).filter((ball) => !ball.back);
  if (played.length) chosen = shots.find((shot) => sameShot(shot, played[played.length - 1])) || chosen;
  if (random()) chosen = draw(played[played.length - 1]);
  choose();
  await show();
  if (before.length) note("brought", `${Texts("brought", { n: before.length })}, ${ageOf(before)}.`);
  body.dataset.ready = "yes";
  awake();
  sender.send();
  if ("serviceWorker" in navigator) navigator.serviceWorker.register("/sw.js").catch(() => {});
})();

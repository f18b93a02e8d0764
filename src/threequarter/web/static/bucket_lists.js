// What stands below the keys: the balls of this phone, what should be looked at, balls of a session that is gone, the wrong player.
"use strict";
function BallLists(session, { sender, mend, changed, ask }) {
  const $ = (id) => document.getElementById(id);
  const SHOWN = 40;
  let everything = false;
  let given = null;

  function button(text, act, label) {
    const made = document.createElement("button");
    made.type = "button";
    made.textContent = text;
    if (label) made.setAttribute("aria-label", `${text}: ${label}`);
    made.addEventListener("click", act);
    return made;
  }
  function item(text, ...more) {
    const made = document.createElement("li");
    const says = document.createElement("span");
    says.textContent = text;
    says.dir = "auto";
    made.append(says, ...more);
    return made;
  }
  function file(name, content) {
    const link = document.createElement("a");
    link.href = `data:application/json,${encodeURIComponent(JSON.stringify(content))}`;
    link.download = name;
    link.click();
  }
  function row(ball) {
    const text = sayBall(ball);
    const acts = [];
    if (ball.why) {
      const why = document.createElement("span");
      why.className = "why";
      why.textContent = ball.why;
      acts.push(why);
    }
    if (ball.back) acts.push(button(Texts("bring_back"), () => changed(ball, { back: false, why: "" }), text));
    else acts.push(button(Texts("mend"), () => mend(ball), text), button(Texts("delete"), () => changed(ball, { back: true, why: "" }), text));
    if (ball.why) acts.push(button(Texts("save_alone"), () => file(`ball-${ball.key.slice(0, 8)}.json`, ball), text));
    const state = ball.back ? ` (${Texts("back_short")})` : BallStore.waits(ball) ? ` (${Texts("waits_short")})` : "";
    const made = item(text + state, ...acts);
    if (ball.back) made.className = "back-item";
    return made;
  }
  $("list-more").addEventListener("click", () => { everything = true; changed(); });

  function show(all, live) {
    const order = all.slice().reverse();
    const held = order.filter((ball) => ball.why && !ball.back);
    const rest = order.filter((ball) => !held.includes(ball));
    $("list").replaceChildren(...held.map(row), ...(everything ? rest : rest.slice(0, SHOWN)).map(row));
    $("list-more").hidden = everything || rest.length <= SHOWN;
    $("file").href = `data:application/json,${encodeURIComponent(JSON.stringify(all.filter((ball) => BallStore.unsent(ball))))}`;
    const conflicts = (live && live.conflicts) || [];
    const doubles = (live && live.doubles) || [];
    const count = conflicts.length + doubles.length;
    $("look-at").hidden = $("settle-line").hidden = count === 0;
    $("settle-count").textContent = Texts("look_at", { n: count });
    $("look-list").replaceChildren(
      ...conflicts.map((one) => item(Texts("conflict"), button(one.kept, () => settle({ conflict: one.id, take: "kept" })), button(one.other, () => settle({ conflict: one.id, take: "other" })))),
      ...doubles.map((one) => item(Texts("double", { ball: one.says, n: one.seconds }), button(Texts("one_ball"), () => settle({ double: one.ball, same: true })), button(Texts("two_balls"), () => settle({ double: one.ball, same: false })))),
    );
  }
  async function settle(choice) {
    try {
      const answer = await sender.post(`/api/sessions/${session}/settle`, choice);
      if (!answer.ok && answer.status !== 409) throw new Error(String(answer.status));
    } catch { ask(Texts("no_server")); }
    changed();
  }

  // Other sessions: for balls whose session is gone, and for balls of another player.
  async function sessions(select, kept) {
    try {
      const answer = await fetch("/api/typed-sessions");
      if (!answer.ok) return false;
      const found = (await answer.json()).sessions.filter((one) => one.id !== session);
      const chosen = select.value;
      select.replaceChildren(...found.map((one) => new Option(`${one.player}, ${one.day}`, String(one.id))));
      if (chosen && kept) select.value = chosen;
      return found.length > 0;
    } catch { return false; }
  }
  async function showGone(gone) {
    $("gone").hidden = !gone;
    if (gone && !$("gone-to").options.length) await sessions($("gone-to"));
  }
  $("gone-send").addEventListener("click", async () => {
    const to = Number($("gone-to").value);
    if (!to) { ask(Texts("choose")); return; }
    const moved = (await BallStore.all(session)).filter((ball) => !ball.back);
    await BallStore.put(...moved.map((ball) => ({ ...ball, session: to, sent: false, tried: false, base: null, rev: 0, told: 0, why: "" })));
    location.href = `/bucket/${to}`;
  });
  $("wrong").addEventListener("toggle", () => { if ($("wrong").open) sessions($("wrong-to"), true); });
  async function give(keys, from, to) {
    const mine = new Map((await BallStore.all(from)).map((ball) => [ball.key, ball]));
    const sent = keys.filter((key) => mine.get(key)?.tried);
    if (sent.length) {
      const answer = await sender.post(`/api/sessions/${from}/move`, { keys: sent, to });
      if (!answer.ok) throw new Error((await answer.json()).error);
    }
    await BallStore.put(...keys.map((key) => ({ ...mine.get(key), session: to })));
  }
  $("wrong-give").addEventListener("click", async () => {
    const to = Number($("wrong-to").value);
    const count = Number($("wrong-count").value);
    const last = (await BallStore.all(session)).filter((ball) => !ball.back && !ball.why).slice(-count);
    if (!to || !(count >= 1) || !last.length) { $("wrong-says").textContent = Texts("choose"); return; }
    try {
      await sender.send();
      const keys = last.map((ball) => ball.key);
      await give(keys, session, to);
      given = { keys, to };
      $("wrong-says").textContent = Texts("moved", { n: keys.length, player: $("wrong-to").selectedOptions[0].textContent });
      $("wrong-back").hidden = false;
    } catch (error) { $("wrong-says").textContent = Texts("failed", { why: error.message }); }
    changed();
  });
  $("wrong-back").addEventListener("click", async () => {
    try {
      await give(given.keys, given.to, session);
      $("wrong-back").hidden = true;
      $("wrong-says").textContent = "";
    } catch (error) { $("wrong-says").textContent = Texts("failed", { why: error.message }); }
    changed();
  });
  return { show, showGone };
}

// A ball in a line: "54 waist 41 yd fat".
function sayBall(ball) {
  const unit = ball.unit === "paces" ? Texts("paces") : ball.unit;
  const parts = [ball.club, ball.swing, Written(ball.carry), unit];
  if (ball.strike) parts.push(Texts(ball.strike));
  if (ball.side) parts.push(Texts(ball.side < 0 ? "left" : "right", { n: Math.abs(ball.side) }));
  if (ball.count > 1) parts.push(Texts("pile_of", { n: ball.count }));
  return parts.join(" ");
}

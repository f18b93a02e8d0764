// Everything that waits on this phone, session by session: sent when that works, else sent elsewhere, saved or deleted by hand.
"use strict";
(async () => {
  const $ = (id) => document.getElementById(id);
  const gone = new Set();
  let others = [];
  function button(text, act, label) {
    const made = document.createElement("button");
    made.type = "button";
    made.className = "outline";
    made.textContent = text;
    made.setAttribute("aria-label", label ? `${text}: ${label}` : text);
    made.addEventListener("click", act);
    return made;
  }
  async function away(session, to) {
    const balls = (await BallStore.all(session)).filter((ball) => BallStore.unsent(ball) && !ball.back);
    await BallStore.put(...balls.map((ball) => ({ ...ball, session: to.id, sent: false, tried: false, base: null, rev: 0, told: 0, why: "" })));
    $("waiting-says").textContent = Texts("sent_there", { n: balls.length, player: to.player });
    await sendAll();
  }
  // A ball that may have reached a server is taken back there; where its session is gone there is nobody to tell.
  async function remove(ball) {
    if (gone.has(ball.session)) await BallStore.drop(ball.key);
    else await BallStore.put({ ...ball, back: true, why: "", rev: ball.tried ? ball.rev + 1 : ball.rev });
    await sendAll();
  }
  function part(session, balls) {
    const made = document.createElement("section");
    const title = document.createElement("h2");
    title.textContent = Texts("session", { n: session });
    const open = document.createElement("a");
    open.href = `/bucket/${session}`;
    open.textContent = Texts("open");
    const list = document.createElement("ul");
    for (const ball of balls) {
      const line = document.createElement("li");
      line.append(`${sayBall(ball)}${ball.why ? `: ${ball.why}` : ""}`, button(Texts("delete"), () => remove(ball), sayBall(ball)));
      list.append(line);
    }
    const choice = document.createElement("select");
    choice.setAttribute("aria-label", Texts("choose"));
    choice.append(...others.filter((one) => one.id !== session).map((one) => new Option(`${one.player}, ${one.day}`, String(one.id))));
    made.append(title, open, list);
    if (choice.options.length) made.append(choice, button(Texts("send_there"), () => away(session, others.find((one) => one.id === Number(choice.value)))));
    return made;
  }
  async function show() {
    const all = (await BallStore.all()).filter(BallStore.unsent);
    const sessions = [...new Set(all.map((ball) => ball.session))];
    if (!all.length) $("waiting-says").textContent ||= Texts("nothing_waits");
    $("waiting").replaceChildren(...sessions.map((session) => part(session, all.filter((ball) => ball.session === session))));
    $("waiting-file").hidden = !all.length;
    $("waiting-file").href = `data:application/json,${encodeURIComponent(JSON.stringify(all))}`;
  }
  async function sendAll() {
    const sessions = [...new Set((await BallStore.all()).filter(BallStore.waits).map((ball) => ball.session))];
    for (const session of sessions) {
      await new Promise((done) => {
        BallSender(session, async (state, why) => {
          if (state === "gone") gone.add(session);
          if (state === "gone") $("waiting-says").textContent = `${Texts("session", { n: session })}: ${Texts("gone")}`;
          if (state === "unpaired") $("waiting-says").textContent = why || Texts("unpaired");
          if (state === "signed out") $("waiting-says").textContent = Texts("signed_out");
          if (state === "offline") $("waiting-says").textContent = Texts("no_server");
          done();
        }).send();
      });
    }
    await show();
  }
  if (!await BallStore.open()) { $("waiting-says").textContent = Texts("memory_only"); return; }
  try { others = (await (await fetch("/api/typed-sessions")).json()).sessions; } catch { others = []; }
  await show();
  await sendAll();
})();

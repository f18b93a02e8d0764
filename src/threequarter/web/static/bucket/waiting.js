// Everything that waits on this phone, session by session: sent when that works, else sent elsewhere, saved or deleted by hand.
import { BallSender } from "../ball_sender.js";
import { all, drop, open, put } from "../ball_store.js";
import { movedTo, unsent, waits } from "../balls.js";
import { button, element, LANGUAGE, say } from "../page.js";
import { sayBall } from "../texts.js";
import { Bringer } from "./bring.js";

/** @typedef {import("../balls.js").TypedBall} TypedBall */
/** @typedef {{ id: number, player: string, day: string }} Session */

/** @type {Set<number>} sessions that a server does not have any more */
const gone = new Set();
/** @type {Session[]} */
let others = [];

/** @param {string} text */
const tell = (text) => {
  element("waiting-says").textContent = text;
};

/**
 * @param {number} session
 * @param {Session | undefined} to
 */
async function away(session, to) {
  if (!to) return;
  const balls = (await all(session)).filter((ball) => unsent(ball) && !ball.back);
  await put(...balls.map((ball) => movedTo(ball, to.id)));
  tell(say("sent_there", { n: balls.length, player: to.player }));
  await sendAll();
}

/**
 * A ball that may have reached a server is taken back there; where its session is gone there is nobody to tell.
 * @param {TypedBall} ball
 */
async function remove(ball) {
  if (gone.has(ball.session)) await drop(ball.key);
  else {
    const edits = Math.max(ball.edits || 0, ball.rev) + 1;
    await put({ ...ball, edits, back: true, why: "", rev: ball.tried ? edits : ball.rev });
  }
  await sendAll();
}

/** @param {TypedBall} ball */
function line(ball) {
  const text = sayBall(ball, say, LANGUAGE);
  const made = document.createElement("li");
  made.append(
    ball.why ? `${text}: ${ball.why}` : text,
    button(say("delete"), () => remove(ball), text, "outline"),
  );
  return made;
}

/**
 * @param {number} session
 * @param {TypedBall[]} balls
 */
function part(session, balls) {
  const made = document.createElement("section");
  const title = document.createElement("h2");
  title.textContent = say("session", { n: session });
  const link = document.createElement("a");
  link.href = session < 0 ? `/bucket/here#${session}` : `/bucket/${session}`;
  link.textContent = say("open");
  const list = document.createElement("ul");
  list.append(...balls.map(line));
  made.append(title, link, list);
  const choice = document.createElement("select");
  choice.setAttribute("aria-label", say("choose"));
  const elsewhere = others.filter((one) => one.id !== session);
  choice.append(...elsewhere.map((one) => new Option(`${one.player}, ${one.day}`, String(one.id))));
  const chosen = () => elsewhere.find((one) => one.id === Number(choice.value));
  if (elsewhere.length)
    made.append(
      choice,
      button(say("send_there"), () => away(session, chosen()), "", "outline"),
    );
  return made;
}

async function show() {
  const balls = (await all()).filter(unsent);
  const sessions = [...new Set(balls.map((ball) => ball.session))];
  if (!balls.length && !element("waiting-says").textContent) tell(say("nothing_waits"));
  const parts = sessions.map((session) =>
    part(
      session,
      balls.filter((ball) => ball.session === session),
    ),
  );
  element("waiting").replaceChildren(...parts);
  const file = element("waiting-file", HTMLAnchorElement);
  file.hidden = !balls.length;
  file.href = `data:application/json,${encodeURIComponent(JSON.stringify(balls))}`;
}

/**
 * @param {number} session
 * @param {import("../ball_sender.js").Net} net
 * @param {string} why
 */
function heard(session, net, why) {
  if (net === "gone") {
    gone.add(session);
    tell(`${say("session", { n: session })}: ${say("gone")}`);
  }
  if (net === "unpaired") tell(why || say("unpaired"));
  if (net === "signed out") tell(say("signed_out"));
  if (net === "offline") tell(say("no_server"));
}

/** A bucket that was begun on this phone is begun on the server first. @param {number} session @returns {Promise<unknown>} */
function sendOf(session) {
  return new Promise((done) => {
    const told = (/** @type {import("../ball_sender.js").Net} */ net, /** @type {string} */ why) => {
      heard(session, net, why);
      if (session > 0 || net !== "online") done(net);
    };
    const sender =
      session < 0 ? new Bringer(session, told, (id) => sendOf(id).then(done)) : new BallSender(session, told);
    sender.send();
  });
}

async function sendAll() {
  const sessions = new Set((await all()).filter(waits).map((ball) => ball.session));
  for (const session of sessions) await sendOf(session);
  await show();
}

async function begin() {
  if (!(await open())) {
    tell(say("memory_only"));
    return;
  }
  try {
    others = (await (await fetch("/api/typed-sessions")).json()).sessions;
  } catch {
    others = [];
  }
  await show();
  await sendAll();
}

begin();

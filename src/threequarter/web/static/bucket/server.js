// The server: balls go there, the chart comes back; what it says when it will not or cannot.
import { ALONE } from "../addresses.js";
import { refused, works } from "../ball_store.js";
import { element, note, say } from "../page.js";
import { showGone } from "./lists.js";
import { show } from "./show.js";
import { ASKED, KNOWN_PATH, session, state } from "./state.js";

const livePath = () => `/api/sessions/${session}/live?${new URLSearchParams({ ...ASKED, child: String(ASKED.child) })}`;
const FOLLOW_MS = 10000;
const PICTURES_AFTER_MS = 4000;
let charted = 0;
/** @type {ReturnType<typeof setTimeout> | undefined} */
let timer;

/** @type {Promise<{ send: () => Promise<void> }> | null} made when something is sent first */
let made = null;

export const sender = {
  async send() {
    made ||= senderOf();
    await (await made).send();
  },
};

async function senderOf() {
  if (ALONE) return { send: () => heard("offline", "", null) };
  if (session < 0) {
    const { Bringer } = await import("./bring.js");
    return new Bringer(session, heard, (id) => location.replace(`/bucket/${id}`));
  }
  const { BallSender } = await import("../ball_sender.js");
  return new BallSender(session, heard, ASKED);
}

/**
 * @param {import("../ball_sender.js").Net} net
 * @param {string} why
 * @param {any} chart
 */
async function heard(net, why, chart) {
  state.net = net === "offline" ? "offline" : "online";
  state.trouble = net === "trouble" ? say("server_said", { why }) : "";
  if (net === "online" || ALONE) note("notice", storeNotice());
  if (net === "offline") await takeHere();
  if (net === "gone") note("notice", say("gone"));
  showGone(net === "gone");
  if (net === "unpaired" || net === "signed out") letInNoMore(net === "signed out", why);
  if (net === "online") charts(chart);
  await show();
}

/** The chart that came with the answer, or one asked for. @param {any} chart */
function charts(chart) {
  if (chart) take(chart);
  else if (session > 0) follow().then(show);
}

/** What is wrong with this phone's store, "" where nothing is. */
export function storeNotice() {
  const [full, none] = ALONE ? ["no_room_alone", "memory_only_alone"] : ["no_room", "memory_only"];
  if (refused()) return say(works() ? full : none);
  return state.works ? "" : say(none);
}

/**
 * @param {boolean} signedOut
 * @param {string} why
 */
function letInNoMore(signedOut, why) {
  if ("caches" in window) caches.delete("threequarter-seen"); // names and charts are forgotten; balls are not
  note("notice", signedOut ? say("signed_out") : why || say("unpaired"));
  if (!signedOut && why) return;
  const link = document.createElement("a");
  const back = encodeURIComponent(location.pathname + location.search);
  link.href = signedOut ? `/sign-in?back=${back}` : "/pair";
  link.textContent = say(signedOut ? "sign_in" : "pair");
  element("notice").append(" ", link);
}

async function follow() {
  try {
    const signal = AbortSignal.timeout ? AbortSignal.timeout(FOLLOW_MS) : undefined;
    const answer = await fetch(livePath(), { signal });
    if (answer.ok) take(await answer.json());
  } catch {
    state.net = "offline";
    await takeHere();
  }
}

/** The chart asked for anew: something else is known of who hits. */
export async function askAnew() {
  if (state.net === "offline") await takeHere();
  else if (session > 0) await follow();
  await show();
}

let workings = 0;

/** No server: the chart of all balls that this phone knows. The last one asked for is shown. */
async function takeHere() {
  state.fresh = false;
  const mine = (workings += 1);
  const { workOut } = await import("./here.js");
  const live = await workOut("live");
  if (!live || mine !== workings || state.net !== "offline") return;
  state.live = { ...state.live, ...live };
  state.fresh = live.cells.length > 0;
}

/** @param {any} live */
function take(live) {
  state.live = live;
  state.fresh = true;
  if (!live.cells.length || live.balls === charted) return;
  charted = live.balls;
  clearTimeout(timer);
  timer = setTimeout(keepLast, PICTURES_AFTER_MS);
}

/**
 * @param {string} id
 * @param {string} path
 */
async function picture(id, path) {
  try {
    const answer = await fetch(path);
    if (!answer.ok || !(await answer.blob()).size) return;
    element(id, HTMLImageElement).src = path;
    element(id).hidden = false;
  } catch {
    /* no signal: the one shown before stays */
  }
}

/** What the engine needs for when there is no server, and the pictures: asked for so that this phone keeps them. */
function keepLast() {
  fetch(KNOWN_PATH).catch(() => null);
  pictures();
}

/** The last chart and card, asked for so that this phone keeps them. */
export function pictures() {
  picture("last-chart", `/bucket/${session}/chart.svg`);
  picture("last-card", `/bucket/${session}/card.png`);
}

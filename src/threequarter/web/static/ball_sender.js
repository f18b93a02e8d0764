// Sends what waits, again and again, until the server has said of each ball what became of it. Sending twice changes nothing there.
import { all, phone, put } from "./ball_store.js";
import { contentOf, waits } from "./balls.js";

/** @typedef {import("./balls.js").TypedBall} TypedBall */
/** @typedef {"online" | "offline" | "trouble" | "unpaired" | "signed out" | "gone"} Net how a server was heard */
/** @typedef {{ key: string, state: string, why: string, rev: number }} Outcome */

const PATIENCE_MS = 15000;
const MOST = 200;
const LONGEST_PAUSE_MS = 30000;

/**
 * @param {string} path
 * @param {object} body
 */
export async function post(path, body) {
  const patience = new AbortController();
  const timer = setTimeout(() => patience.abort(), PATIENCE_MS);
  try {
    return await fetch(path, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify(body),
      signal: patience.signal,
    });
  } finally {
    clearTimeout(timer);
  }
}

/**
 * What a ball becomes by what the server says of it.
 * @param {TypedBall} ball
 * @param {Outcome} outcome
 * @returns {TypedBall}
 */
export function settled(ball, { state, why, rev }) {
  if (state === "saved" || state === "known") return { ...ball, sent: true };
  if (state === "changed") return { ...ball, told: Math.max(ball.told, rev) };
  if (state === "conflict") return { ...ball, sent: true, conflict: true };
  if (state === "refused") return { ...ball, why: why || "?" };
  return ball;
}

export class BallSender {
  #busy = false;
  #again = false;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #later;
  #misses = 0;
  /** What a server that answers but cannot keep (a full disk), or will not, said last. */
  #trouble = "";
  /** How many go at once: one at a time after a batch was refused whole, so that what is damaged here holds up nothing else. */
  #most = MOST;
  /** @type {any} the chart that came with the last answer */
  #chart = null;

  /**
   * @param {number} session
   * @param {(state: Net, why: string, chart: any) => unknown} heard
   * @param {object} [live] the keys of the page, where the chart is to follow
   */
  constructor(session, heard, live) {
    this.session = session;
    this.heard = heard;
    this.live = live;
  }

  /** First what was never tried is marked as tried, on the disk: from then on its first content stands and changes are changes. */
  async #batch() {
    const waiting = (await all(this.session)).filter(waits);
    const fresh = waiting.filter((ball) => !ball.sent).slice(0, this.#most);
    const marked = fresh.filter((ball) => !ball.tried).map((ball) => ({ ...ball, tried: true, base: contentOf(ball) }));
    if (marked.length) await put(...marked);
    const room = this.#most === 1 && fresh.length ? 0 : this.#most;
    const changed = waiting.filter((ball) => ball.sent && ball.rev > ball.told).slice(0, room);
    const age = (/** @type {TypedBall} */ ball) => Math.max(-1, (Date.now() - ball.at) / 1000);
    return {
      balls: fresh.map((ball) => ({ key: ball.key, age_s: age(ball), ...(ball.base || contentOf(ball)) })),
      changes: changed.map((ball) => ({
        key: ball.key,
        rev: ball.rev,
        back: Boolean(ball.back),
        ...contentOf(ball),
      })),
    };
  }

  /** @param {Outcome[]} outcomes */
  async #settle(outcomes) {
    const known = new Map((await all(this.session)).map((ball) => [ball.key, ball]));
    const told = new Map();
    for (const outcome of outcomes) {
      const ball = told.get(outcome.key) || known.get(outcome.key);
      if (ball) told.set(outcome.key, settled(ball, outcome));
    }
    if (told.size) await put(...told.values());
  }

  /** @param {object} body */
  #post(body) {
    return post(`/api/sessions/${this.session}/balls`, { ...body, phone: phone(), live: this.live });
  }

  /** @returns {Promise<Net | "done" | "more">} */
  async #round() {
    const body = await this.#batch();
    const going = [...body.balls, ...body.changes];
    if (!going.length) {
      this.#most = MOST;
      return "done";
    }
    const answer = await this.#post(body);
    if (answer.status === 401) return "signed out";
    if (answer.status === 410 || answer.status === 404) return "gone";
    if (!answer.ok) {
      const told = await answer.json().catch(() => ({}));
      this.#trouble = told.unpaired ? "" : told.detail || "";
      if (answer.status === 403) return "unpaired"; // an account that may not, or a phone that is not paired
      this.#trouble ||= String(answer.status);
      if (answer.status === 422) return this.#onlyOne(going);
      throw new Error(this.#trouble);
    }
    this.#trouble = "";
    const told = await answer.json();
    await this.#settle(told.outcomes);
    this.#chart = told.live;
    return "more";
  }

  /**
   * What a batch that was refused whole comes to: each ball by itself, and the one that is refused alone says why.
   * @param {{ key: string }[]} going
   * @returns {Promise<"more">}
   */
  async #onlyOne(going) {
    if (going.length === 1) {
      const empty = await this.#post({ balls: [], changes: [] });
      const mine = typeof going[0].key === "string" && empty.ok;
      if (!mine) throw new Error(this.#trouble); // it is not the ball: nothing is refused, and it is tried again later
      await this.#settle([{ key: going[0].key, state: "refused", why: this.#trouble, rev: 0 }]);
    }
    this.#most = 1;
    this.#trouble = "";
    return "more";
  }

  /** @returns {Promise<Net>} */
  async #rounds() {
    try {
      let step = await this.#round();
      while (step === "more") step = await this.#round();
      this.#misses = 0;
      return step === "done" ? "online" : step;
    } catch (error) {
      if (error instanceof TypeError || (error instanceof Error && error.name === "AbortError")) this.#trouble = "";
      this.#misses += 1;
      return this.#trouble ? "trouble" : "offline";
    }
  }

  /** Sends now; one at a time, and once more where somebody asked meanwhile. */
  async send() {
    if (this.#busy) {
      this.#again = true;
      return;
    }
    this.#busy = true;
    clearTimeout(this.#later);
    this.#chart = null;
    const state = await this.#rounds();
    this.#busy = false;
    await this.heard(state, this.#trouble, this.#chart);
    if (this.#again) {
      this.#again = false;
      this.send();
      return;
    }
    const waiting = (await all(this.session)).some(waits);
    if (state === "offline" || state === "trouble" || (waiting && state === "online")) {
      const pause = Math.min(LONGEST_PAUSE_MS, 1500 * 2 ** Math.min(this.#misses, 5));
      this.#later = setTimeout(() => this.send(), pause);
    }
  }
}

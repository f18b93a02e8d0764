// A bucket that was begun on this phone, brought to the server: begun there under its key, so that twice is once; then its balls are sent.
import { post } from "../ball_sender.js";
import { all, put } from "../ball_store.js";
import { movedTo } from "../balls.js";
import { recall, remember } from "../page.js";
import { bucketOf, dropBucket } from "../here_buckets.js";
import { keepTest, tests } from "../test_store.js";

const AGAIN_MS = 15000;

export class Bringer {
  #busy = false;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #later;

  /**
   * @param {number} session
   * @param {(net: import("../ball_sender.js").Net, why: string, chart: null) => unknown} heard
   * @param {(id: number) => unknown} brought what to do when the server has the bucket, under this number
   */
  constructor(session, heard, brought) {
    this.session = session;
    this.heard = heard;
    this.brought = brought;
  }

  async send() {
    if (this.#busy) return;
    this.#busy = true;
    clearTimeout(this.#later);
    const { net, why } = await this.#bring();
    this.#busy = false;
    await this.heard(net, why, null);
    if (net !== "online") this.#later = setTimeout(() => this.send(), AGAIN_MS);
  }

  /** @returns {Promise<{ net: import("../ball_sender.js").Net, why: string }>} */
  async #bring() {
    const bucket = await bucketOf(this.session);
    if (!bucket) return { net: "gone", why: "" };
    const { key, player, unit, clubs, swings } = bucket;
    try {
      const answer = await post("/api/buckets", { key, player, unit, clubs, swings });
      const told = await answer.json().catch(() => ({}));
      if (answer.status === 401) return { net: "signed out", why: "" };
      if (answer.status === 403) return { net: "unpaired", why: told.unpaired ? "" : told.detail || "" };
      if (!answer.ok) return { net: "trouble", why: told.detail || String(answer.status) };
      await this.#settle(told.id);
      return { net: "online", why: "" };
    } catch {
      return { net: "offline", why: "" };
    }
  }

  /** The balls go to the server's session in one act of the phone's store; their keys stay. @param {number} id */
  async #settle(id) {
    const balls = (await all(this.session)).map((ball) => ({ ...movedTo(ball, id), back: ball.back }));
    if (balls.length && !(await put(...balls))) return; // only in memory: they wait for the next time
    for (const test of await tests(this.session)) await keepTest({ ...test, bucket: id });
    if (recall(`child ${this.session}`)) remember(`child ${id}`, recall(`child ${this.session}`));
    await dropBucket(this.session);
    this.brought(id);
  }
}

// Watches the player picture by picture: the last seconds lie in a ring, small; the model looks as often as something moves and time allows.
// When the hands have come to rest after a fast move, pictures of the way down that were passed over are looked at, the nearest to the ball
// first and as many as the answer can wait for, and the last seconds' points are handed on.

import { LANDMARK_PX } from "./pose.js";

/** @typedef {import("./pose.js").Picture} Picture */
/** @typedef {import("./pose.js").Square} Square */
/** @typedef {import("./pose.js").Body} Body */
/** @typedef {Picture & { at: number, looked: boolean }} Kept */
/** @typedef {{ at: number, body: Body }} Row */
/** @typedef {{ people: (p: Picture) => Promise<{ roi: Square }[]>, body: (p: Picture, roi: Square, mirrored: boolean) => Promise<Body> }} Seeing */

export const LONGEST_PX = 512; // a player who fills the picture is still larger than what the model looks at
const RING = 75;
const ROWS_S = 4.5;
const STILL_S = 0.16; // between two looks at a player who does not move
const PACE_S = 0.1; // a model later than this passes over pictures, the more the later
const BEHIND = 3;
const WIDEST_S = 0.08; // but looks so often, or as often as it can
const SLOWEST_S = 0.16;
const LEARNS = 0.2;
const LOOK_FOR_S = 0.5;
const LEAST_PRESENCE = 0.5;
const STEADY = 0.35;
const JUMPED = 0.4;
const STILL_LEVELS = 4; // of grey, as in swing/picture.py
const BLOCK = 8;
const FAST = 3; // trunk lengths a second over two looks: waist-high swings come to 5
const TOO_FAST = 30; // no hands move so: the camera was moved, or another person was taken for the player
const TOO_FAR = 2; // trunk lengths from one look to the next
const LOOKS_S = 0.05; // looks nearer than this are too near to tell a speed by
const DOWN = { before: 0.26, after: 0.08 }; // about the fastest moment
const WAITS_S = 0.5; // so long the answer waits for pictures of the way down
const RESTS = 0.6;
const REST_S = 0.28;
const SOONEST_S = 0.45; // after the fast move; a finish takes about 0.7 s from the ball
const LATEST_S = 1.4;
const BEFORE_S = 3.2;
const APART_S = 1.2;
const [L_SHOULDER, R_SHOULDER, L_WRIST, R_WRIST, L_HIP, R_HIP] = [11, 12, 15, 16, 23, 24];

/**
 * @param {Float64Array} points
 * @param {number} a
 * @param {number} b
 */
const middle = (points, a, b) => [(points[2 * a] + points[2 * b]) / 2, (points[2 * a + 1] + points[2 * b + 1]) / 2];

/**
 * Speed of the hands about the hips between two looks, trunk lengths a second.
 * @param {Row} before
 * @param {Row} now
 */
export function handSpeed(before, now) {
  const place = (/** @type {Row} */ { body }) => {
    const [hands, hips, tops] = [
      middle(body.points, L_WRIST, R_WRIST),
      middle(body.points, L_HIP, R_HIP),
      middle(body.points, L_SHOULDER, R_SHOULDER),
    ];
    const trunk = Math.max(1, Math.hypot(tops[0] - hips[0], tops[1] - hips[1]));
    return [(hands[0] - hips[0]) / trunk, (hands[1] - hips[1]) / trunk];
  };
  const [a, b] = [place(before), place(now)];
  return Math.hypot(b[0] - a[0], b[1] - a[1]) / Math.max(now.at - before.at, 1e-3);
}

/**
 * The picture in grey blocks: what moved shows in their differences.
 * @param {Picture} picture
 */
function blocksOf({ data, width, height }) {
  const [columns, rows] = [Math.floor(width / BLOCK), Math.floor(height / BLOCK)];
  const out = new Float32Array(columns * rows);
  for (let y = 0; y < rows * BLOCK; y += 2)
    for (let x = 0; x < columns * BLOCK; x += 2)
      out[Math.floor(y / BLOCK) * columns + Math.floor(x / BLOCK)] += data[4 * (y * width + x) + 1] / 16;
  return { grey: out, columns, rows };
}

export class Watcher {
  /** @type {Kept[]} */
  ring = [];
  /** @type {Row[]} */
  rows = [];
  /** @type {Square | null} */
  roi = null;
  /** @type {ReturnType<typeof blocksOf> | null} */
  blocks = null;
  light = 0;
  moved = true;
  down = -1e9; // when the hands were last fast
  told = -1e9; // the fast move that was handed on
  jumped = -1e9; // when the points were last somewhere else from one look to the next
  lookedFor = -1e9;
  looked = -1e9;
  mirrored = false;
  cost_s = 0.04; // of a look
  /** @type {Kept[] | null} */
  passed = null; // pictures of the way down still to be looked at, the nearest to the ball last

  /**
   * @param {Seeing} nets
   * @param {() => number} [now] seconds
   */
  constructor(nets, now = () => performance.now() / 1000) {
    this.nets = nets;
    this.now = now;
  }

  /**
   * Takes a picture. Its data is copied into the ring, which does not grow.
   * @param {number} at seconds
   * @param {Picture} picture
   */
  take(at, { data, width, height }) {
    const old = this.ring.length >= RING ? this.ring.shift() : undefined;
    const place = old?.data.length === data.length ? old.data : new Uint8ClampedArray(data.length);
    place.set(data);
    this.ring.push({ at, data: place, width, height, looked: false });
  }

  /** The next picture to look at, or none. */
  next() {
    const newest = this.ring.at(-1);
    if (!newest) return null;
    if (!this.roi) {
      this.passed = null;
      return newest.at - this.lookedFor >= LOOK_FOR_S ? newest : null;
    }
    this.passed = this.passed?.filter((one) => this.ring.includes(one)) ?? null; // one that left the ring was written over
    if (this.passed?.length) return this.passed.pop() || null;
    const late = newest.at - this.looked;
    const widest = Math.min(SLOWEST_S, Math.max(WIDEST_S, this.cost_s));
    const gap = this.moved ? Math.min(widest, late > PACE_S ? late / BEHIND : 0) : STILL_S;
    return this.ring.find(({ at, looked }) => !looked && at > this.looked + gap - 0.004) || null;
  }

  /**
   * Looks at a picture.
   * @param {Kept} picture
   */
  async look(picture) {
    picture.looked = true;
    if (!this.roi) await this.#lookFor(picture);
    if (!this.roi) return;
    this.#notice(picture);
    this.mirrored = !this.mirrored;
    const began = this.now();
    const body = await this.nets.body(picture, this.roi, this.mirrored);
    this.cost_s += LEARNS * (Math.min(1, this.now() - began) - this.cost_s);
    if (body.presence < LEAST_PRESENCE) {
      this.roi = null;
      return;
    }
    const late = picture.at < this.looked;
    this.rows.push({ at: picture.at, body });
    if (late) this.rows.sort((a, b) => a.at - b.at);
    else this.#follow(picture.at, body);
  }

  /** @param {Kept} picture */
  async #lookFor(picture) {
    this.lookedFor = picture.at;
    this.rows = [];
    this.#notice(picture);
    const found = await this.nets.people(picture);
    if (!found.length) return;
    const largest = found.reduce((a, b) => (b.roi.side > a.roi.side ? b : a));
    this.roi = (await this.nets.body(picture, largest.roi, false)).roi; // the detector's square is rough
    if (this.roi.side < LANDMARK_PX / 8) this.roi = null;
    this.looked = picture.at - 1e-3;
  }

  /**
   * @param {number} at
   * @param {Body} body
   */
  #follow(at, body) {
    const last = this.rows.at(-2);
    const speed = last ? handSpeed(last, { at, body }) : 0;
    if (last && (speed > TOO_FAST || speed * (at - last.at) > TOO_FAR)) this.jumped = at;
    const before = this.rows.findLast((row) => row.at < at - LOOKS_S && row.at >= this.jumped);
    this.looked = at;
    const old = /** @type {Square} */ (this.roi),
      now = body.roi;
    const jumped =
      Math.abs(now.side - old.side) > JUMPED * old.side || Math.hypot(now.x - old.x, now.y - old.y) > JUMPED * old.side;
    const part = jumped ? 1 : STEADY;
    this.roi = {
      x: old.x + part * (now.x - old.x),
      y: old.y + part * (now.y - old.y),
      side: old.side + part * (now.side - old.side),
    };
    if (before && at - before.at < 0.5 && handSpeed(before, { at, body }) > FAST) this.down = at;
    while (this.rows.length && this.rows[0].at < at - ROWS_S) this.rows.shift();
  }

  /**
   * Light, and whether anything around the player moved since the last look.
   * @param {Picture} picture
   */
  #notice(picture) {
    const now = blocksOf(picture),
      then = this.blocks;
    let sum = 0;
    for (const grey of now.grey) sum += grey;
    this.light = sum / Math.max(1, now.grey.length);
    this.moved = true;
    if (then && this.roi && then.grey.length === now.grey.length && then.columns === now.columns) {
      const { x, y, side } = this.roi;
      let most = 0;
      for (let row = 0; row < now.rows; row++)
        for (let column = 0; column < now.columns; column++) {
          const near = Math.abs(BLOCK * column - x) < side / 2 && Math.abs(BLOCK * row - y) < side / 2;
          const k = row * now.columns + column;
          if (near) most = Math.max(most, Math.abs(now.grey[k] - then.grey[k]));
        }
      this.moved = most >= STILL_LEVELS;
    }
    if (this.moved) this.blocks = now;
  }

  /** The last seconds' points once the hands rest after a fast move, else null; each move once. */
  ended() {
    if (this.passed?.length || !this.#resting()) return null;
    this.passed ??= this.#passedOver();
    if (this.passed.length) return null;
    this.passed = null;
    this.told = this.down;
    return { down: this.down, rows: this.rows.filter(({ at }) => at > this.down - BEFORE_S) };
  }

  /** Whether the hands rest after a fast move that was not handed on yet, or were waited for long enough. */
  #resting() {
    const last = this.rows.at(-1);
    if (!last || this.down - this.told < APART_S || this.looked < this.down + SOONEST_S) return false;
    if (this.looked >= this.down + LATEST_S) return true;
    const rest = this.rows.filter(({ at }) => at >= last.at - REST_S);
    const fast = rest.slice(1).some((row, k) => handSpeed(rest[k], row) > RESTS);
    // a player who stands still is looked at less often, and so is everybody by a slow device
    return !fast && rest.length >= (this.moved && this.cost_s < WIDEST_S ? 3 : 2);
  }

  /** Pictures of the way down that nobody looked at, the nearest to its fastest moment last. */
  #passedOver() {
    let fastest = this.down,
      most = 0;
    this.rows.forEach((row, k) => {
      const before = this.rows[k - 1];
      if (!before || row.at > this.down || row.at < this.down - APART_S || before.at < this.jumped) return;
      const speed = handSpeed(before, row);
      if (speed > most) [most, fastest] = [speed, (before.at + row.at) / 2];
    });
    const there = this.ring.filter(
      ({ at, looked }) => !looked && at > fastest - DOWN.before && at < fastest + DOWN.after && at < this.looked,
    );
    const far = (/** @type {Kept} */ one) => Math.abs(one.at - fastest + 0.5 * (DOWN.before - DOWN.after));
    return there
      .sort((a, b) => far(b) - far(a))
      .slice(-Math.max(0, Math.floor(WAITS_S / this.cost_s)))
      .filter(() => this.roi !== null);
  }
}

// The last seconds as coded pictures, in memory only and written over: out of them comes the clip of the last swing, if the coach keeps it.

import { webm } from "./webm.js";

/** @typedef {import("./webm.js").Coded} Coded */
/** @typedef {{ pictures: Coded[], width: number, height: number }} Cut */

const KEPT_S = 8;
const BEFORE_S = 3.2; // a still second, the way back and down
export const AFTER_S = 1.9; // the way through
const KEY_EVERY_S = 0.8;
const MOST_WAITING = 3; // pictures the coder has not done yet: more are left out, measuring goes first
const BITS_A_PIXEL = 0.12;
const RATE = 30;
const CODEC = "vp8";

export class Reel {
  /** @type {Coded[]} */
  pictures = [];
  /** @type {VideoEncoder | undefined} */
  coder;
  width = 0;
  height = 0;
  keyed = -1e9;

  /** Whether this browser codes pictures. */
  static possible = "VideoEncoder" in globalThis;

  /**
   * @param {HTMLVideoElement} video
   * @param {number} at seconds on the page's clock
   */
  take(video, at) {
    const [width, height] = [video.videoWidth & ~1, video.videoHeight & ~1];
    if (!this.coder || width !== this.width || height !== this.height) this.#begin(width, height);
    if (!this.coder || this.coder.encodeQueueSize > MOST_WAITING) return;
    const keyFrame = at - this.keyed >= KEY_EVERY_S;
    if (keyFrame) this.keyed = at;
    const frame = new VideoFrame(video, { timestamp: Math.round(at * 1e6) });
    this.coder.encode(frame, { keyFrame });
    frame.close();
  }

  /**
   * @param {number} width
   * @param {number} height
   */
  #begin(width, height) {
    this.stop();
    [this.width, this.height, this.keyed] = [width, height, -1e9];
    this.coder = new VideoEncoder({ output: (chunk) => this.#keep(chunk), error: () => this.stop() });
    const bitrate = Math.round(BITS_A_PIXEL * width * height * RATE);
    this.coder.configure({ codec: CODEC, width, height, bitrate, framerate: RATE, latencyMode: "realtime" });
  }

  /** @param {EncodedVideoChunk} chunk */
  #keep(chunk) {
    const data = new Uint8Array(chunk.byteLength);
    chunk.copyTo(data);
    this.pictures.push({ at_us: chunk.timestamp, key: chunk.type === "key", data });
    const old = chunk.timestamp - KEPT_S * 1e6;
    const next = this.pictures.findIndex((one, k) => k > 0 && one.key);
    if (next > 0 && this.pictures[next].at_us < old) this.pictures.splice(0, next);
  }

  /**
   * The pictures around the ball, from a key picture on; none where they are gone.
   * @param {number} ball_s on the page's clock
   * @returns {Cut | null}
   */
  cut(ball_s) {
    const [from, to] = [(ball_s - BEFORE_S) * 1e6, (ball_s + AFTER_S) * 1e6];
    const first = Math.max(
      this.pictures.findLastIndex((one) => one.key && one.at_us <= from),
      this.pictures.findIndex((one) => one.key),
    );
    const pictures = this.pictures.slice(first < 0 ? this.pictures.length : first).filter((one) => one.at_us <= to);
    return pictures.length > 1 && pictures[0].at_us < ball_s * 1e6
      ? { pictures, width: this.width, height: this.height }
      : null;
  }

  stop() {
    if (this.coder && this.coder.state !== "closed") this.coder.close();
    this.coder = undefined;
    this.pictures = [];
  }
}

/** @param {Cut} cut */
export const filmOf = ({ pictures, width, height }) =>
  new Blob([/** @type {BlobPart} */ (webm(pictures, width, height))], { type: "video/webm" });

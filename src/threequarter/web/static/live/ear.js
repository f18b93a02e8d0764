// Hears the microphone as a curve of loudness on the page's own clock. A few seconds of it are kept.

const KEPT_MS = 6000;
const MOST_LAGS = 200;

export class Ear {
  /** @type {number[]} */
  loud = [];
  end_s = 0; // when the last millisecond was heard, on the page's clock
  /** @type {number[]} */
  #lags = [];

  /** @param {MediaStream} stream */
  async listen(stream) {
    this.context = new AudioContext();
    await this.context.audioWorklet.addModule(new URL("ear_worklet.js", import.meta.url).href);
    await this.context.resume();
    const node = new AudioWorkletNode(this.context, "ear", { numberOfOutputs: 0 });
    this.context.createMediaStreamSource(stream).connect(node);
    node.port.onmessage = ({ data }) => this.#take(data);
  }

  /** @param {{ at: number, loud: number[] }} heard */
  #take({ at, loud }) {
    // messages come late, never early: the smallest lag of the last ones is the clocks' own
    this.#lags.push(performance.now() / 1000 - at);
    if (this.#lags.length > MOST_LAGS) this.#lags.shift();
    this.end_s = at + Math.min(...this.#lags);
    this.loud.push(...loud);
    if (this.loud.length > KEPT_MS) this.loud.splice(0, this.loud.length - KEPT_MS);
  }

  /**
   * The loudness from a time on, and when its first millisecond was.
   * @param {number} from seconds
   */
  since(from) {
    const first = Math.max(0, Math.round(this.loud.length - (this.end_s - from) * 1000));
    return { sound_s: this.end_s - (this.loud.length - first) / 1000, loud_db: this.loud.slice(first) };
  }

  stop() {
    this.context?.close();
    this.context = undefined;
    this.loud = [];
  }
}

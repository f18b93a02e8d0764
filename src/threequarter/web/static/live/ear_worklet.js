// The loudness of the microphone a millisecond, high-passed, in decibels: swing/decode_child.py of a film's sound. The sound itself goes no further.

const RATE_HZ = 16000;
const AT_ONCE = 50;
const QUIETEST = 1e-9;

class Ear extends /** @type {any} */ (globalThis).AudioWorkletProcessor {
  #thin = Math.max(1, Math.round(/** @type {any} */ (globalThis).sampleRate / RATE_HZ));
  #step = /** @type {any} */ (globalThis).sampleRate / 1000 / this.#thin; // thinned samples a millisecond
  #sum = 0;
  #summed = 0;
  #last = [0, 0];
  #power = 0;
  #count = 0;
  #due = this.#step;
  /** @type {number[]} */
  #loud = [];

  /** @param {Float32Array[][]} inputs */
  process([input]) {
    for (const sample of input[0] || []) {
      this.#sum += sample;
      if (++this.#summed < this.#thin) continue;
      const wave = this.#sum / this.#thin;
      this.#sum = this.#summed = 0;
      this.#power += (wave - 2 * this.#last[1] + this.#last[0]) ** 2;
      this.#last = [this.#last[1], wave];
      this.#count += 1;
      if (this.#count >= this.#due) this.#millisecond();
    }
    return true;
  }

  #millisecond() {
    this.#loud.push(Math.round(100 * Math.log10(Math.max(this.#power / this.#count, QUIETEST))) / 10);
    this.#due += this.#step - this.#count;
    this.#power = this.#count = 0;
    if (this.#loud.length < AT_ONCE) return;
    /** @type {any} */ (this).port.postMessage({ at: /** @type {any} */ (globalThis).currentTime, loud: this.#loud });
    this.#loud = [];
  }
}

/** @type {any} */ (globalThis).registerProcessor("ear", Ear);

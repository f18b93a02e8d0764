// The pose models in the browser, by LiteRT (Apache-2.0) on the processor; runtime and models come from the page's own server.

import { bodyOf, crop, DETECTOR_PX, detectorInput, LANDMARK_PX, people } from "./pose.js";

/** @typedef {import("./pose.js").Picture} Picture */
/** @typedef {import("./pose.js").Square} Square */

const VENDOR = new URL("../vendor/litert/", import.meta.url);
const RUNTIME = "litert_wasm_compat_internal.js";

export class Nets {
  /**
   * @param {any} lib
   * @param {any} detector
   * @param {any} landmarker
   */
  constructor(lib, detector, landmarker) {
    this.lib = lib;
    this.detector = detector;
    this.landmarker = landmarker;
    this.small = new Float32Array(DETECTOR_PX * DETECTOR_PX * 3);
    this.cut = new Float32Array(LANDMARK_PX * LANDMARK_PX * 3);
  }

  /** @param {string} [size] of the landmark model */
  static async load(size = "full") {
    /** @type {any} */ (self).Module = { locateFile: (/** @type {string} */ name) => new URL(name, VENDOR).href };
    const lib = await import(new URL("litert.js", VENDOR).href);
    await lib.loadLiteRt(new URL(RUNTIME, VENDOR).href);
    const model = async (/** @type {string} */ name) =>
      lib.loadAndCompile(new URL(`models/${name}.tflite`, import.meta.url).href, { accelerator: "wasm" });
    return new Nets(lib, await model("pose_detector"), await model(`pose_landmark_${size}`));
  }

  /**
   * @param {any} model
   * @param {Float32Array} values
   * @param {number} side
   * @returns {Promise<Float32Array[]>}
   */
  async #run(model, values, side) {
    const input = new this.lib.Tensor(values, [1, side, side, 3]);
    const tensors = await model.run([input]);
    const out = tensors.map((/** @type {any} */ one) => Float32Array.from(one.toTypedArray()));
    for (const one of [input, ...tensors]) one.delete();
    return out;
  }

  /** @param {Picture} picture */
  async people(picture) {
    const [raw, logits] = await this.#run(this.detector, detectorInput(picture, this.small), DETECTOR_PX);
    return people(raw, logits, picture);
  }

  /**
   * @param {Picture} picture
   * @param {Square} roi
   * @param {boolean} mirrored
   */
  async body(picture, roi, mirrored) {
    crop(picture, roi, this.cut, LANDMARK_PX, { mirrored });
    const out = await this.#run(this.landmarker, this.cut, LANDMARK_PX);
    return bodyOf(out[0], out[1][0], out[4], roi, mirrored);
  }
}

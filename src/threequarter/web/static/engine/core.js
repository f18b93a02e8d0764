// The compiled core: the same bytes that Python runs. One array of numbers in, one out.

/** @type {any} */
let core = null;

/**
 * Makes the core ready.
 * @param {BufferSource} bytes of core.wasm
 */
export async function makeReady(bytes) {
  core = (await WebAssembly.instantiate(bytes, {})).instance.exports;
}

/**
 * Calls a function of the core; the first `answers` numbers of what it gives back, as a copy.
 * @param {string} name
 * @param {ArrayLike<number>} numbers
 * @param {number} answers
 */
export function call(name, numbers, answers) {
  const place = core.input_room(numbers.length);
  new Float64Array(core.memory.buffer, place, numbers.length).set(numbers);
  const begin = core[name](place);
  return new Float64Array(core.memory.buffer, begin, answers).slice();
}

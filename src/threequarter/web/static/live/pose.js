// From a picture to body points as swing/pose.py does it, number for number: what is cut out of a picture, and what the models' answers
// mean. A picture is { data (RGBA, row by row), width, height }; a square is { x, y, side }: centre and side in pixels.

/** @typedef {{ data: Uint8ClampedArray, width: number, height: number }} Picture */
/** @typedef {{ x: number, y: number, side: number }} Square */
/** @typedef {{ points: Float64Array, visibility: Float64Array, world: Float64Array, presence: number, roi: Square }} Body
 * points 33 x (x, y) in pixels, visibility 33, world 33 x (x, y, z) in metres, the square for the next picture */

export const DETECTOR_PX = 224;
export const LANDMARK_PX = 256;
const POINTS = 33;
const [CENTRE, REACH] = [33, 34];
const ROI_SCALE = 1.25;
const LEAST_OVERLAP = 0.3;
const STRIDES = [
  [8, 2],
  [16, 2],
  [32, 6],
];
const MIRROR = [0, 4, 5, 6, 1, 2, 3, 8, 7, 10, 9];
for (let k = 11; k < POINTS; k++) MIRROR.push(k % 2 ? k + 1 : k - 1);

/**
 * Where a row of samples falls: the pixels on either side, how far between, and whether inside.
 * @param {number} start
 * @param {number} step
 * @param {number} size
 * @param {number} limit
 */
function taps(start, step, size, limit) {
  const low = new Int32Array(size),
    high = new Int32Array(size),
    rest = new Float32Array(size),
    inside = new Uint8Array(size);
  for (let k = 0; k < size; k++) {
    const where = start + step * k;
    const whole = Math.floor(where);
    low[k] = Math.min(limit - 1, Math.max(0, whole));
    high[k] = Math.min(limit - 1, Math.max(0, whole + 1));
    rest[k] = where - whole;
    inside[k] = Number(where >= 0 && where <= limit - 1);
  }
  return { low, high, rest, inside };
}

/**
 * The square resampled to (size, size, 3), values 0..1 (times `times`, plus `plus`); bilinear, without a half-pixel shift.
 * @param {Picture} picture
 * @param {Square} roi
 * @param {Float32Array} out
 * @param {number} size
 * @param {{ black?: boolean, mirrored?: boolean, times?: number, plus?: number }} [ways] black: outside is black, else the edge
 */
export function crop(picture, roi, out, size, { black = false, mirrored = false, times = 1, plus = 0 } = {}) {
  const step = roi.side / size;
  const { data, width } = picture;
  const rows = taps(roi.y - roi.side / 2, step, size, picture.height);
  const columns = taps(roi.x - roi.side / 2, step, size, width);
  if (!black) for (const { inside } of [rows, columns]) inside.fill(1);
  for (let i = 0; i < size; i++) {
    const [top, bottom, down] = [rows.low[i] * width, rows.high[i] * width, rows.rest[i]];
    for (let j = 0; j < size; j++) {
      const at = 3 * (i * size + (mirrored ? size - 1 - j : j));
      const across = columns.rest[j];
      const scale = (times / 255) * rows.inside[i] * columns.inside[j];
      const [a, b] = [4 * (top + columns.low[j]), 4 * (bottom + columns.low[j])];
      const [c, d] = [4 * (top + columns.high[j]), 4 * (bottom + columns.high[j])];
      for (let k = 0; k < 3; k++) {
        const left = data[a + k] * (1 - down) + data[b + k] * down;
        const right = data[c + k] * (1 - down) + data[d + k] * down;
        out[at + k] = (left * (1 - across) + right * across) * scale + plus;
      }
    }
  }
  return out;
}

/**
 * The whole picture as the detector wants it, -1..1.
 * @param {Picture} picture
 * @param {Float32Array} out
 */
export function detectorInput(picture, out) {
  const roi = { x: picture.width / 2, y: picture.height / 2, side: Math.max(picture.width, picture.height) };
  return crop(picture, roi, out, DETECTOR_PX, { black: true, times: 2, plus: -1 });
}

/** Anchor centres of the detector, x and y in turn. */
const ANCHORS = (() => {
  const out = [];
  for (const [stride, count] of STRIDES) {
    const cells = DETECTOR_PX / stride;
    for (let y = 0; y < cells; y++)
      for (let x = 0; x < cells; x++) for (let k = 0; k < count; k++) out.push((x + 0.5) / cells, (y + 0.5) / cells);
  }
  return out;
})();

/**
 * @param {number[]} a x0, y0, x1, y1
 * @param {number[]} b
 */
function overlap(a, b) {
  const wide = Math.max(0, Math.min(a[2], b[2]) - Math.max(a[0], b[0]));
  const high = Math.max(0, Math.min(a[3], b[3]) - Math.max(a[1], b[1]));
  const common = wide * high;
  const total = (a[2] - a[0]) * (a[3] - a[1]) + (b[2] - b[0]) * (b[3] - b[1]) - common;
  return common / Math.max(total, 1e-12);
}

/**
 * The people in a picture, surest first: their squares for the landmark model.
 * @param {Float32Array} raw
 * @param {Float32Array} logits
 * @param {Picture} picture
 * @param {number} [least]
 * @returns {{ score: number, roi: Square }[]}
 */
export function people(raw, logits, picture, least = 0.5) {
  const found = [];
  for (let k = 0; k < logits.length; k++) {
    const score = 1 / (1 + Math.exp(-Math.min(100, Math.max(-100, logits[k]))));
    if (score < least) continue;
    const [ax, ay] = [ANCHORS[2 * k], ANCHORS[2 * k + 1]];
    const at = raw.subarray(12 * k, 12 * k + 12).map((v) => v / DETECTOR_PX);
    const [x, y, w, h] = [ax + at[0], ay + at[1], at[2] / 2, at[3] / 2];
    found.push({ score, box: [x - w, y - h, x + w, y + h], marks: [ax + at[4], ay + at[5], ax + at[6], ay + at[7]] });
  }
  found.sort((a, b) => b.score - a.score);
  const side = Math.max(picture.width, picture.height);
  const [x0, y0] = [picture.width / 2 - side / 2, picture.height / 2 - side / 2];
  const out = [];
  for (let left = found; left.length;) {
    const best = left[0];
    const near = left.filter((one) => one === best || overlap(best.box, one.box) > LEAST_OVERLAP);
    const sum = near.reduce((total, one) => total + one.score, 0);
    const mark = [0, 1, 2, 3].map((m) => near.reduce((total, one) => total + (one.score / sum) * one.marks[m], 0));
    const [mx, my, rx, ry] = mark.map((v, m) => v * side + (m % 2 ? y0 : x0));
    out.push({ score: best.score, roi: square(mx, my, rx, ry) });
    left = left.filter((one) => !near.includes(one));
  }
  return out;
}

/**
 * The square around a person from the hip centre and the point that tells the size.
 * @param {number} x
 * @param {number} y
 * @param {number} reachX
 * @param {number} reachY
 * @returns {Square}
 */
const square = (x, y, reachX, reachY) => ({ x, y, side: 2 * Math.hypot(reachX - x, reachY - y) * ROI_SCALE });

/**
 * What the landmark model says of a square; mirrored pictures are turned back, left and right included.
 * @param {Float32Array} marks 39 x 5
 * @param {number} presence
 * @param {Float32Array} world 39 x 3
 * @param {Square} roi
 * @param {boolean} mirrored
 * @returns {Body}
 */
export function bodyOf(marks, presence, world, roi, mirrored) {
  const scale = roi.side / LANDMARK_PX;
  const across = (/** @type {number} */ k) => (mirrored ? LANDMARK_PX - 1 - marks[5 * k] : marks[5 * k]);
  const x = (/** @type {number} */ k) => across(k) * scale + roi.x - roi.side / 2;
  const y = (/** @type {number} */ k) => marks[5 * k + 1] * scale + roi.y - roi.side / 2;
  const body = {
    points: new Float64Array(2 * POINTS),
    visibility: new Float64Array(POINTS),
    world: new Float64Array(3 * POINTS),
    presence,
    roi: square(x(CENTRE), y(CENTRE), x(REACH), y(REACH)),
  };
  for (let k = 0; k < POINTS; k++) {
    const from = mirrored ? MIRROR[k] : k;
    body.points.set([x(from), y(from)], 2 * k);
    body.visibility[k] = 1 / (1 + Math.exp(-marks[5 * from + 3]));
    body.world.set([world[3 * from] * (mirrored ? -1 : 1), world[3 * from + 1], world[3 * from + 2]], 3 * k);
  }
  return body;
}

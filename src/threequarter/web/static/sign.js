// Our sign: the lead arm from straight down to its angle. As `paper/pictures/sign.py`, in the sizes of the keys.

/** @typedef {{ deg: number, clock?: boolean, broken?: boolean }} Arm degrees from straight down, back as far as through */
/** @typedef {[string, Record<string, string | number>]} Shape */

const BOX = 48;
const SMALL = 26;
const UNKNOWN_DEG = 70;
const CLOCK = /^(\d{1,2})(?:[:.](\d\d))?\s*(?:o'?\s?clock|uhr)?$/;
const SVG = "http://www.w3.org/2000/svg";

/**
 * The arm of a length by its name: of the names that the page knows, or a clock time.
 * @param {string} name
 * @param {Record<string, Arm | number>} known
 * @returns {Arm}
 */
export function armOf(name, known) {
  const plain = name.trim().toLowerCase();
  const found = known[name] ?? known[plain];
  if (found) return typeof found === "number" ? { deg: found } : found;
  const [, hour, minute] = CLOCK.exec(plain) || [];
  const back = Number(hour) + Number(minute || 0) / 60;
  return back > 6 && back <= 12.5
    ? { deg: Math.min(165, 30 * (back - 6)), clock: true }
    : { deg: UNKNOWN_DEG, broken: true };
}

/** @param {number} middle @param {number} radius @param {number} deg */
function end(middle, radius, deg) {
  const angle = (deg * Math.PI) / 180;
  return [BOX / 2 - radius * Math.sin(angle), middle + radius * Math.cos(angle)].map((one) => one.toFixed(1));
}

/** @param {number} middle @param {number} radius @param {number} from @param {number} to */
function arc(middle, radius, from, to) {
  const far = Number(Math.abs(to - from) > 180);
  const [begin, stop] = [from, to].map((deg) => end(middle, radius, deg));
  return `M${begin.join(" ")}A${radius} ${radius} 0 ${far} ${Number(to > from)} ${stop.join(" ")}`;
}

/** What is drawn, in a box of 48. @param {Arm} arm @param {boolean} small @returns {Shape[]} */
export function shapes({ deg, clock, broken }, small) {
  const round = { "stroke-linecap": "round" };
  const [middle, radius] = small ? [24, 16.5] : [22, 17];
  const [x, y] = end(middle, radius, deg);
  /** @type {Record<string, string>} */
  const dashes = broken ? { "stroke-dasharray": small ? "5 4" : "3.4 3.2" } : {};
  const hand = { cx: x, cy: y, r: small ? 6 : 4, fill: "currentColor", stroke: "none" };
  const pointer = `M24 ${middle}L${x} ${y}`;
  /** @type {Shape[]} */
  const found = [];
  if (small) {
    found.push(["path", { d: arc(middle, radius, deg, -deg), "stroke-width": 5.5, ...round, ...dashes }]);
    if (!broken) found.push(["path", { d: pointer, "stroke-width": 4, ...round }]);
    return [...found, ["circle", hand]];
  }
  for (let hour = 7; clock && hour < 12; hour++) {
    const [inner, outer] = [20.4, 23.2].map((one) => end(middle, one, 30 * (hour - 6)).join(" "));
    found.push(["path", { d: `M${inner}L${outer}`, "stroke-width": 1.8 }]);
  }
  found.push(["path", { d: arc(middle, radius, 0, -deg), "stroke-width": 2, ...dashes }]);
  found.push(["path", { d: arc(middle, radius, 0, deg), "stroke-width": 5, ...dashes }]);
  if (!broken) {
    found.push(["path", { d: pointer, "stroke-width": 2.4 }]);
    found.push(["circle", { cx: 24, cy: 22, r: 2.6, fill: "currentColor", stroke: "none" }]);
  }
  return [...found, ["circle", hand], ["circle", { cx: 24, cy: 45, r: 2.3, "stroke-width": 1.6 }]];
}

/** The sign as a picture beside its name: nothing to a screen reader. @param {Arm} arm @param {number} size */
export function sign(arm, size) {
  const made = document.createElementNS(SVG, "svg");
  const about = { class: "sign", width: size, height: size, viewBox: `0 0 ${BOX} ${BOX}`, "aria-hidden": "true" };
  const drawn = { ...about, focusable: "false", fill: "none", stroke: "currentColor" };
  const set = (/** @type {Element} */ one, /** @type {Record<string, string | number>} */ values) => {
    for (const [name, value] of Object.entries(values)) one.setAttribute(name, String(value));
    return one;
  };
  set(made, drawn);
  made.append(...shapes(arm, size <= SMALL).map(([tag, values]) => set(document.createElementNS(SVG, tag), values)));
  return made;
}

// The answer, to be read from where the player stands: the lead arm's two arcs, the match, the numbers; and what the camera sees.

import { element, LANGUAGE, note, say } from "../page.js";
import { makeSay } from "../texts.js";

const ARM = 82;
const HAND = 9;
const BRACKET = 98; // the doubt stands outside of the hand
const MOST_LINES = 20;
const LINES = [
  [11, 12],
  [23, 24],
  [11, 23],
  [12, 24],
  [11, 13],
  [13, 15],
  [12, 14],
  [14, 16],
];

/** @typedef {{ deg: number, doubt_deg: number } | null} End */

/**
 * @param {string} name
 * @param {Record<string, string | number>} values
 */
function drawn(name, values) {
  const made = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [key, value] of Object.entries(values)) made.setAttribute(key, String(value));
  return made;
}

/**
 * Where the hands are for an angle from straight down.
 * @param {number} deg positive to the right
 * @param {number} [reach]
 */
function at(deg, reach = ARM) {
  const turned = (deg * Math.PI) / 180;
  return [reach * Math.sin(turned), reach * Math.cos(turned)].map((v) => v.toFixed(1));
}

/**
 * @param {number} from
 * @param {number} to
 * @param {number} [reach]
 */
function arc(from, to, reach = ARM) {
  const [a, b] = [Math.min(from, to), Math.max(from, to)];
  return `M${at(a, reach)}A${reach} ${reach} 0 ${Number(b - a > 180)} 0 ${at(b, reach)}`;
}

/**
 * The lead arm back and through as the camera sees it: each an arc with its doubt at the end.
 * @param {SVGSVGElement} svg
 * @param {{ back?: End, through?: End, back_says?: string, through_says?: string, hand?: string, match?: string }} found
 */
export function drawArcs(svg, found) {
  const way = found.hand === "left" ? -1 : 1; // a right-hander's back is on the picture's left
  svg.replaceChildren(drawn("path", { d: `M0 0V${ARM + HAND}`, class: "plumb" }));
  for (const [name, end, side] of /** @type {[string, End, number][]} */ ([
    ["back", found.back ?? null, -way],
    ["through", found.through ?? null, way],
  ])) {
    if (!end) continue;
    const [low, high] = [Math.max(0, end.deg - end.doubt_deg), end.deg + end.doubt_deg];
    const [x, y] = at(side * end.deg);
    svg.append(
      drawn("path", { d: arc(0, side * end.deg), class: `${name} way` }),
      drawn("path", { d: arc(side * low, side * high, BRACKET), class: `${name} doubt` }),
      drawn("path", { d: `M0 0L${x} ${y}`, class: `${name} arm` }),
      drawn("circle", { cx: x, cy: y, r: HAND, class: name }),
    );
  }
  svg.append(drawn("circle", { cx: 0, cy: 0, r: 5, class: "shoulder" }));
  svg.setAttribute(
    "aria-label",
    say("arcs")
      .replace("{back}", found.back_says || "")
      .replace("{through}", found.through_says || ""),
  );
}

/** @param {any} found what the server said of the last move */
export function showAnswer(found) {
  const box = element("live-answer");
  const ball = found.kind === "ball";
  box.hidden = !found.match_says;
  box.dataset.kind = found.kind;
  box.dataset.match = found.match || "";
  element("live-lines").replaceChildren(
    ...[...(ball || found.kind === "refused" ? [] : [say(found.kind)]), ...found.lines].map((text) =>
      Object.assign(document.createElement("li"), { textContent: text }),
    ),
  );
  if (found.kind === "refused") box.hidden = false;
  const refused = found.kind === "refused" ? "" : "–";
  const shown = /** @type {Record<string, string>} */ ({
    back: found.back_says,
    through: found.through_says,
    tempo: found.tempo_says,
    match: found.match_says,
  });
  for (const [name, text] of Object.entries(shown)) element(`live-${name}`).textContent = text || refused;
  drawArcs(/** @type {any} */ (document.getElementById("live-arcs")), found);
  if (ball) addBall(found);
}

/** @param {any} found */
function addBall(found) {
  const form = element("live-ball", HTMLFormElement);
  form.hidden = false;
  form.dataset.clip = found.clip;
  form.dataset.number = found.number;
  form.dataset.key = [...crypto.getRandomValues(new Uint8Array(16))]
    .map((byte) => byte.toString(16).padStart(2, "0"))
    .join("");
  const title = makeSay({ ball: say("ball") }, LANGUAGE)("ball", { n: found.number });
  element("live-ball-head").textContent = title;
  const line = document.createElement("li");
  line.value = found.number;
  line.dataset.number = `${found.clip}-${found.number}`;
  line.textContent = `${found.back_says} · ${found.through_says} · ${found.match_says} `;
  line.append(document.createElement("span"));
  const list = element("live-list");
  list.prepend(line);
  while (list.children.length > MOST_LINES) list.lastElementChild?.remove();
  note("live-says", say("watching"));
}

/**
 * Draws the body over the camera's picture.
 * @param {HTMLCanvasElement} canvas
 * @param {{ points: Float64Array | null, size: [number, number] }} told
 */
export function drawBody(canvas, { points, size: [wide, high] }) {
  [canvas.width, canvas.height] = [wide, high]; // and clears it
  const pen = canvas.getContext("2d");
  if (!pen || !points) return;
  for (const [width, ink] of /** @type {[number, string][]} */ ([
    [7, "#fffdf7"],
    [3, "#0b4f3c"],
  ])) {
    pen.lineWidth = width;
    pen.strokeStyle = ink;
    pen.beginPath();
    for (const [a, b] of LINES) {
      pen.moveTo(points[2 * a], points[2 * a + 1]);
      pen.lineTo(points[2 * b], points[2 * b + 1]);
    }
    pen.stroke();
  }
}

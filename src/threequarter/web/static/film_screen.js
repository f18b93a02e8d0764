// One film on one canvas: its pictures upright, what is drawn on them, and the body without the film.

const INK = "#0b4f3c",
  OTHER_INK = "#9a3412",
  PAPER = "#fffdf7",
  TEXT = "#14130f";
const NOSE = 0,
  HIPS = [7, 8],
  SHOULDERS = [1, 2];
// limbs between the points of `body`: nose, shoulders, elbows, wrists, hips, knees, ankles, each left and right
const LIMBS = [
  [1, 2],
  [1, 3],
  [3, 5],
  [2, 4],
  [4, 6],
  [1, 7],
  [2, 8],
  [7, 8],
  [7, 9],
  [9, 11],
  [8, 10],
  [10, 12],
];

/**
 * @typedef {{ time_s: number[], points: number[][], body: number[][] }} Stretch
 * @typedef {{ number: number, t_takeaway_s: number | null, t_top_s: number, t_impact_s: number, t_finish_s: number | null }} Swing
 * @typedef {{ turned: number, length_s: number, frame_s: number, slower: number, aspect: number, stretches: Stretch[],
 *   curves: { time_s: number[], arm_deg: number[] }[], swings: Swing[] }} Told
 * @typedef {{ film: boolean, lines: boolean, levels: Record<string, number>, over: { x: number, y: number }[] | null }} Look
 */

/** @type {Told} */
const NOTHING = {
  turned: 0,
  length_s: 0,
  frame_s: 1 / 30,
  slower: 1,
  aspect: 1,
  stretches: [],
  curves: [],
  swings: [],
};

/** @param {number[]} times @param {number} time the place of the nearest */
const nearest = (times, time) => {
  let best = 0;
  for (let k = 1; k < times.length; k += 1) if (Math.abs(times[k] - time) < Math.abs(times[best] - time)) best = k;
  return best;
};

/** @param {{ x: number, y: number }[]} body @param {number[]} two */
const middle = (body, [a, b]) => ({ x: (body[a].x + body[b].x) / 2, y: (body[a].y + body[b].y) / 2 });

/**
 * Another body as large as this one and hip on hip.
 * @param {{ x: number, y: number }[]} other
 * @param {{ x: number, y: number }[]} own
 */
export function laidOver(other, own) {
  const [hips, theirs] = [middle(own, HIPS), middle(other, HIPS)];
  /** @param {{ x: number, y: number }[]} body @param {{ x: number, y: number }} from */
  const trunk = (body, from) => {
    const up = middle(body, SHOULDERS);
    return Math.hypot(up.x - from.x, up.y - from.y) || 1;
  };
  const times = trunk(own, hips) / trunk(other, theirs);
  return other.map(({ x, y }) => ({ x: hips.x + times * (x - theirs.x), y: hips.y + times * (y - theirs.y) }));
}

export class Screen {
  /** @param {HTMLCanvasElement} canvas @param {number} clip @param {() => Look} look @param {() => void} cannot */
  constructor(canvas, clip, look, cannot) {
    this.canvas = canvas;
    this.clip = clip;
    this.look = look;
    this.video = Object.assign(document.createElement("video"), {
      muted: true,
      playsInline: true,
      preload: "auto",
      src: `/clips/${clip}/film`,
    });
    this.told = NOTHING;
    this.at = 0;
    this.video.addEventListener("seeked", () => this.draw());
    this.video.addEventListener("loadeddata", () => this.draw());
    this.video.addEventListener("error", cannot);
  }

  async load() {
    const answer = await fetch(`/clips/${this.clip}/points.json`);
    if (answer.ok) this.told = await answer.json();
    if (this.video.readyState < 1)
      await new Promise((done) => {
        this.video.addEventListener("loadedmetadata", done, { once: true });
        this.video.addEventListener("error", done, { once: true });
      });
    return this;
  }

  get length() {
    const { duration } = this.video; // films that a browser recorded may not tell it
    return Number.isFinite(duration) ? duration : this.told.length_s;
  }

  /** @param {number} time */
  go(time) {
    this.at = Math.max(0, Math.min(this.length, time));
    // the middle of a picture's time: its edge may show the one before
    this.video.currentTime = Math.min(this.length, this.at + 0.3 * this.told.frame_s);
    return new Promise((done) => {
      this.video.addEventListener("seeked", done, { once: true });
      setTimeout(done, 1500);
    });
  }

  /** What was followed at an instant, as shares of the picture: the drawn points and the body. @param {number} time */
  seen(time) {
    for (const { time_s: t, points, body } of this.told.stretches) {
      if (time < t[0] - 0.05 || time > t[t.length - 1] + 0.05) continue;
      const k = nearest(t, time);
      return { points: points[k], body: body[k] };
    }
    return null;
  }

  /** The body at an instant, in picture heights. @param {number} time */
  body(time) {
    const flat = this.seen(time)?.body;
    if (!flat) return null;
    const found = [];
    for (let k = 0; k < flat.length; k += 2) {
      const kept = flat[k] || flat[k + 1]; // a point that was not kept is not drawn
      found.push({ x: kept ? flat[k] * this.told.aspect : NaN, y: kept ? flat[k + 1] : NaN });
    }
    return found;
  }

  /** @param {HTMLCanvasElement} canvas @param {number} width of the picture drawn, 0 for its own */
  draw(canvas = this.canvas, width = 0) {
    const { video } = this;
    const look = this.look();
    const pen = canvas.getContext("2d");
    if (!video.videoWidth || !pen) return;
    const lying = this.told.turned % 2;
    const upright = lying ? [video.videoHeight, video.videoWidth] : [video.videoWidth, video.videoHeight];
    const scale = (width || Math.min(upright[0], 720)) / upright[0];
    canvas.width = Math.round(upright[0] * scale);
    canvas.height = Math.round(upright[1] * scale);
    pen.fillStyle = PAPER;
    pen.fillRect(0, 0, canvas.width, canvas.height);
    if (look.film) this.picture(pen, canvas, scale);
    this.bodies(pen, canvas, look);
  }

  /** The film's own picture, upright. @param {CanvasRenderingContext2D} pen @param {HTMLCanvasElement} canvas
   * @param {number} scale */
  picture(pen, canvas, scale) {
    const [wide, high] = [this.video.videoWidth * scale, this.video.videoHeight * scale];
    pen.save();
    pen.translate(canvas.width / 2, canvas.height / 2);
    pen.rotate((-this.told.turned * Math.PI) / 2);
    pen.drawImage(this.video, -wide / 2, -high / 2, wide, high);
    pen.restore();
  }

  /** What is drawn on a picture. @param {CanvasRenderingContext2D} pen @param {HTMLCanvasElement} canvas @param {Look} look */
  bodies(pen, canvas, look) {
    const body = this.body(this.at);
    const seen = this.seen(this.at);
    if (!body || !seen) return;
    if (!look.film) this.figure(pen, body, canvas.height, INK);
    if (look.over) this.figure(pen, laidOver(look.over, body), canvas.height, OTHER_INK);
    if (look.lines) this.lines(pen, seen.points, canvas.width, canvas.height, look.levels);
  }

  /** The body without a face. @param {CanvasRenderingContext2D} pen @param {{ x: number, y: number }[]} body @param {number} high
   * @param {string} ink */
  figure(pen, body, high, ink) {
    pen.lineCap = "round";
    for (const [a, b] of LIMBS)
      this.stroke(pen, body[a].x * high, body[a].y * high, body[b].x * high, body[b].y * high, high / 130, ink);
    const neck = middle(body, SHOULDERS);
    const head = Math.hypot(body[NOSE].x - neck.x, body[NOSE].y - neck.y) * 0.45;
    pen.beginPath();
    pen.arc(body[NOSE].x * high, body[NOSE].y * high, head * high, 0, 2 * Math.PI);
    pen.strokeStyle = ink;
    pen.lineWidth = high / 130;
    pen.stroke();
  }

  /** @param {CanvasRenderingContext2D} pen @param {number[]} points @param {number} width @param {number} height
   * @param {Record<string, number>} levels */
  lines(pen, [lx, ly, hx, hy, , sy, , py], width, height, levels) {
    pen.lineCap = "round";
    pen.font = `${Math.max(11, width / 32)}px sans-serif`;
    for (const [name, share] of Object.entries(levels)) {
      const y = (py + share * (sy - py)) * height;
      pen.setLineDash([6, 5]);
      this.stroke(pen, 0, y, width, y, 1.5, INK);
      pen.setLineDash([]);
      pen.lineWidth = 3;
      pen.strokeStyle = PAPER;
      pen.strokeText(name, 5, y - 4);
      pen.fillStyle = TEXT;
      pen.fillText(name, 5, y - 4);
    }
    this.stroke(pen, lx * width, ly * height, hx * width, hy * height, Math.max(3, width / 150), INK);
  }

  /** A line with a bright edge. @param {CanvasRenderingContext2D} pen @param {number} x1 @param {number} y1 @param {number} x2
   * @param {number} y2 @param {number} wide @param {string} own */
  stroke(pen, x1, y1, x2, y2, wide, own) {
    for (const [ink, more] of /** @type {[string, number][]} */ ([
      [PAPER, 2.5],
      [own, 0],
    ])) {
      pen.strokeStyle = ink;
      pen.lineWidth = wide + more;
      pen.beginPath();
      pen.moveTo(x1, y1);
      pen.lineTo(x2, y2);
      pen.stroke();
    }
  }

  /** @param {number} number */
  swing(number) {
    return this.told.swings.find((one) => one.number === number);
  }

  /** Instants at equal steps of the arm's way back, down and through. @param {number} number @param {number} count */
  steps(number, count) {
    const swing = this.swing(number);
    const curve =
      swing && this.told.curves.find(({ time_s: t }) => t[0] <= swing.t_top_s && t[t.length - 1] >= swing.t_impact_s);
    if (!swing || !curve) return [];
    const from = swing.t_takeaway_s ?? curve.time_s[0],
      to = swing.t_finish_s ?? curve.time_s[curve.time_s.length - 1];
    let travelled = 0,
      before = NaN;
    /** @type {[number, number][]} */
    const path = [];
    curve.time_s.forEach((t, k) => {
      if (t < from || t > to) return;
      travelled += path.length ? Math.abs(curve.arm_deg[k] - before) : 0;
      before = curve.arm_deg[k];
      path.push([t, travelled]);
    });
    if (!path.length) return [];
    return Array.from({ length: count }, (_, n) => {
      const way = (travelled * n) / (count - 1) - 1e-6;
      return (path.find(([, gone]) => gone >= way) ?? path[path.length - 1])[0];
    });
  }
}

// How far the phone was carried: its place at the mat and at the ball, each with the accuracy that the phone states.
// Places stay in this tab of the phone; only the distance and the two accuracies are kept with a ball.

/** @typedef {{ lat: number, lon: number }} Place degrees */
/** @typedef {Place & { radius: number }} Fix a place with the accuracy stated for it (m) */
/** @typedef {(seconds: number, radius: number) => void} Tell how long it has looked, and how exact it is so far */

const LOOK_MS = 8000;
const GOOD_M = 3;
const MAT_HOLDS_MS = 3 * 3600000;

/** @type {(Fix & { at: number }) | null} */
let mat = remembered();

function remembered() {
  try {
    const kept = JSON.parse(sessionStorage.getItem("mat") || "null");
    return kept && Date.now() - kept.at < MAT_HOLDS_MS ? kept : null;
  } catch {
    return null;
  }
}

/**
 * The best of the fixes that come within some seconds. Fails with "none", "refused" or "failed".
 * @param {Tell} tell
 * @returns {Promise<Fix>}
 */
function look(tell) {
  return new Promise((done, failed) => {
    if (!navigator.geolocation || !isSecureContext) {
      failed(new Error("none"));
      return;
    }
    /** @type {Fix | null} */
    let best = null;
    const begun = Date.now();
    const end = (/** @type {Error} */ error) => {
      clearTimeout(timer);
      navigator.geolocation.clearWatch(watch);
      if (best) done(best);
      else failed(error);
    };
    const timer = setTimeout(() => end(new Error("failed")), LOOK_MS);
    const watch = navigator.geolocation.watchPosition(
      (fix) => {
        const { latitude, longitude, accuracy } = fix.coords;
        if (!best || accuracy < best.radius) best = { lat: latitude, lon: longitude, radius: accuracy };
        tell(Math.round((Date.now() - begun) / 1000), best.radius);
        if (accuracy <= GOOD_M) end(new Error("failed"));
      },
      (error) => end(new Error(error.code === 1 ? "refused" : "failed")),
      { enableHighAccuracy: true, maximumAge: 0, timeout: LOOK_MS },
    );
  });
}

/**
 * Metres between two places near each other: the ellipsoid's two radii at their middle (WGS 84; good to a few mm over 300 m).
 * @param {Place} a
 * @param {Place} b
 */
export function metres(a, b) {
  const A = 6378137;
  const E2 = 0.00669437999014;
  const rad = Math.PI / 180;
  const middle = ((a.lat + b.lat) / 2) * rad;
  const w = 1 - E2 * Math.sin(middle) ** 2;
  const north = (b.lat - a.lat) * rad * ((A * (1 - E2)) / w ** 1.5);
  const east = (b.lon - a.lon) * rad * ((A / Math.sqrt(w)) * Math.cos(middle));
  return Math.hypot(north, east);
}

/**
 * Keeps where the mat is; returns the accuracy.
 * @param {Tell} tell
 */
export async function markMat(tell) {
  const found = await look(tell);
  mat = { ...found, at: Date.now() };
  try {
    sessionStorage.setItem("mat", JSON.stringify(mat));
  } catch {
    /* it holds until the page closes */
  }
  return found.radius;
}

export const marked = () => mat !== null;

/**
 * How far the ball lies from the mat, with both accuracies.
 * @param {Tell} tell
 */
export async function atBall(tell) {
  if (!mat) throw new Error("none");
  const here = await look(tell);
  return { metres: metres(mat, here), start: mat.radius, end: here.radius };
}

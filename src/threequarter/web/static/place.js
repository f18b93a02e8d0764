// How far the phone was carried: its place at the mat and at the ball, each with the accuracy that the phone states.
// Places stay in this tab of the phone; only the distance and the two accuracies are kept with a ball.
"use strict";
const Place = (() => {
  const LOOK_MS = 8000;
  const GOOD_M = 3;
  const MAT_HOLDS_MS = 3 * 3600000;
  let mat = remembered();
  function remembered() {
    try {
      const kept = JSON.parse(sessionStorage.getItem("mat") || "null");
      return kept && Date.now() - kept.at < MAT_HOLDS_MS ? kept : null;
    } catch { return null; }
  }
  // The best of the fixes that come within some seconds.
  function look(tell) {
    return new Promise((done, failed) => {
      if (!navigator.geolocation || !isSecureContext) { failed(new Error("none")); return; }
      let best = null;
      const begun = Date.now();
      const end = (error) => {
        clearTimeout(timer);
        navigator.geolocation.clearWatch(watch);
        if (best) done(best); else failed(error);
      };
      const timer = setTimeout(() => end(new Error("failed")), LOOK_MS);
      const watch = navigator.geolocation.watchPosition((fix) => {
        const { latitude, longitude, accuracy } = fix.coords;
        if (!best || accuracy < best.radius) best = { lat: latitude, lon: longitude, radius: accuracy };
        tell(Math.round((Date.now() - begun) / 1000), best.radius);
        if (accuracy <= GOOD_M) end();
      }, (error) => end(new Error(error.code === 1 ? "refused" : "failed")), { enableHighAccuracy: true, maximumAge: 0, timeout: LOOK_MS });
    });
  }
  // Metres between two places near each other: the ellipsoid's two radii at their middle (WGS 84; good to a few mm over 300 m).
  function metres(a, b) {
    const A = 6378137;
    const E2 = 0.00669437999014;
    const rad = Math.PI / 180;
    const middle = ((a.lat + b.lat) / 2) * rad;
    const w = 1 - E2 * Math.sin(middle) ** 2;
    const north = (b.lat - a.lat) * rad * ((A * (1 - E2)) / w ** 1.5);
    const east = (b.lon - a.lon) * rad * ((A / Math.sqrt(w)) * Math.cos(middle));
    return Math.hypot(north, east);
  }
  return {
    markMat: async (tell) => {
      mat = { ...await look(tell), at: Date.now() };
      try { sessionStorage.setItem("mat", JSON.stringify(mat)); } catch { /* it holds until the page closes */ }
      return mat.radius;
    },
    marked: () => mat !== null,
    atBall: async (tell) => {
      const here = await look(tell);
      return { metres: metres(mat, here), start: mat.radius, end: here.radius };
    },
    metres,
  };
})();

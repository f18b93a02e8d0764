// Network first, so that nobody is held by an old page; what was last seen answers when no server does.
// Files of one version live in a cache of their own (an update forgets the old one); pages, the last chart and the last card in
// another, which is forgotten when the phone is let in no more.
"use strict";
const SHELL = "threequarter-shell-VERSION";
const SEEN = "threequarter-seen";
const FILES = ["bucket.css", "vendor/idb.js", "hand_look.js", "ball_store.js", "ball_sender.js", "place.js", "bucket_lists.js", "bucket.js", "bucket_waiting.js", "unsent.js", "app.css", "vendor/pico.min.css", "app.js", "vendor/htmx.min.js", "icon.svg"].map((name) => `/static/${name}?v=VERSION`)
  .concat(["/static/vendor/AtkinsonHyperlegibleNext-Regular.ttf", "/static/vendor/AtkinsonHyperlegibleNext-Bold.ttf"]);
const PATIENCE_MS = 4000;

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(SHELL).then((cache) => cache.addAll(FILES)).then(() => self.skipWaiting()));
});
self.addEventListener("activate", (event) => {
  event.waitUntil(caches.keys()
    .then((names) => Promise.all(names.filter((name) => name !== SHELL && name !== SEEN).map((name) => caches.delete(name))))
    .then(() => self.clients.claim()));
});
const isFile = (path) => path.startsWith("/static/");
const isSeen = (path) => path === "/bucket" || path.startsWith("/bucket/") || /^\/sessions\/\d+\/(practice|round)$/.test(path);

async function fromNetwork(request) {
  const patience = new AbortController();
  const timer = setTimeout(() => patience.abort(), PATIENCE_MS);
  try { return await fetch(request, { signal: patience.signal }); } finally { clearTimeout(timer); }
}
async function file(request) {
  const cache = await caches.open(SHELL);
  const kept = await cache.match(request);
  if (kept && new URL(request.url).search === "?v=VERSION") return kept; // its address names its content
  try {
    const answer = await fromNetwork(request);
    if (answer.ok) await cache.put(request, answer.clone());
    return answer;
  } catch (error) {
    const last = kept || await cache.match(request, { ignoreSearch: true });
    if (last) return last;
    throw error;
  }
}
async function seen(request) {
  const url = new URL(request.url);
  const cache = await caches.open(SEEN);
  try {
    const answer = await fromNetwork(request);
    if (answer.status === 401 || answer.status === 403) await caches.delete(SEEN); // let in no more: names and charts are forgotten
    else if (answer.ok && !answer.redirected) await cache.put(request, answer.clone());
    return answer;
  } catch (error) {
    const last = await cache.match(request) || await cache.match(request, { ignoreSearch: url.pathname.startsWith("/bucket") });
    if (last) return last;
    throw error;
  }
}
self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== location.origin) return;
  if (isFile(url.pathname)) event.respondWith(file(event.request));
  else if (isSeen(url.pathname)) event.respondWith(seen(event.request));
});

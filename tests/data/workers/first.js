// Network first, so that nobody is held by an old page; what was last seen answers when no server does.
"use strict";
const CACHE = "threequarter-VERSION";
const SHELL = ["/static/app.css?v=VERSION", "/static/vendor/pico.min.css?v=VERSION", "/static/vendor/idb.js?v=VERSION", "/static/bucket.js?v=VERSION", "/static/hand_look.js?v=VERSION", "/static/app.js?v=VERSION", "/static/vendor/htmx.min.js?v=VERSION", "/static/icon.svg"];
self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(CACHE).then((cache) => cache.addAll(SHELL)).then(() => self.skipWaiting()));
});
self.addEventListener("activate", (event) => {
  event.waitUntil(caches.keys().then((names) => Promise.all(names.filter((name) => name !== CACHE).map((name) => caches.delete(name)))).then(() => self.clients.claim()));
});
const kept = (path) => path.startsWith("/static/") || path.startsWith("/bucket/") || /^\/sessions\/\d+\/(practice|round)$/.test(path);
self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== location.origin || !kept(url.pathname)) return;
  event.respondWith((async () => {
    const cache = await caches.open(CACHE);
    const patience = new AbortController();
    const timer = setTimeout(() => patience.abort(), 4000);
    try {
      const answer = await fetch(event.request, { signal: patience.signal });
      if (answer.ok) cache.put(event.request, answer.clone());
      return answer;
    } catch (error) {
      const last = await cache.match(event.request, { ignoreSearch: url.pathname.startsWith("/bucket/") });
      if (last) return last;
      throw error;
    } finally {
      clearTimeout(timer);
    }
  })());
});

// Network first, so that nobody is held by an old page; what was last seen answers when no server does.
// Files of one version live in a cache of their own (an update forgets the old one); pages, the last chart and the last card in
// another, which is forgotten when the phone is let in no more.
const SHELL = "threequarter-shell-VERSION";
const SEEN = "threequarter-seen";
const HERE = "/static/VERSION/";
const FILES = FILES_OF_THIS_VERSION.map((/** @type {string} */ name) => HERE + name);
const OFFLINE = "/offline";
/** Pages that are nobody's, filled on the phone. */
const OURS = [OFFLINE, ...["here", "chart", "round", "practice", "recheck", "copy"].map((name) => `/bucket/${name}`)];
const PATIENCE_MS = 4000;
const worker = /** @type {any} */ (self);

worker.addEventListener("install", (/** @type {any} */ event) => {
  event.waitUntil(install());
});
worker.addEventListener("activate", (/** @type {any} */ event) => {
  event.waitUntil(activate());
});
worker.addEventListener("fetch", (/** @type {any} */ event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== location.origin) return;
  if (url.pathname.startsWith("/static/")) event.respondWith(file(event.request));
  else if (isSeen(url.pathname)) event.respondWith(seen(event.request));
  else if (event.request.mode === "navigate") event.respondWith(elsewhere(event.request));
});
worker.addEventListener("message", (/** @type {any} */ event) => {
  event.waitUntil(tellKept(event.data.page, event.ports[0]));
});

async function install() {
  await (await caches.open(SHELL)).addAll([...FILES, ...OURS]);
  await worker.skipWaiting();
}

async function activate() {
  await renew();
  const old = (await caches.keys()).filter((name) => name !== SHELL && name !== SEEN);
  await Promise.all(old.map((name) => caches.delete(name)));
  await worker.clients.claim();
}

/** Pages kept from an older version name its files: they are fetched anew while the server that brought this one is there. */
async function renew() {
  const cache = await caches.open(SEEN);
  const pages = (await cache.keys()).filter((request) => !/\.(svg|png|json)$/.test(new URL(request.url).pathname));
  await Promise.all(
    pages.map(async (request) => {
      try {
        const answer = await fromNetwork(new Request(request.url));
        if (answer.ok && !answer.redirected) await cache.put(request, answer);
      } catch {
        /* no server: the page as it was kept */
      }
    }),
  );
}

/**
 * Whether a page would open now without a server: itself, every file of this version and the page in place of others lie here.
 * @param {string} path
 * @param {MessagePort} port
 */
async function tellKept(path, port) {
  const shell = await caches.open(SHELL);
  const missing = async () => {
    const found = await Promise.all([...FILES, ...OURS].map((name) => shell.match(name)));
    return [...FILES, ...OURS].filter((_, i) => !found[i]);
  };
  const thrown = await missing();
  if (thrown.length) await shell.addAll(thrown).catch(() => null); // the browser threw them away: fetched again where there is a signal
  const page = await keptPage(new Request(path));
  port.postMessage({ kept: !(await missing()).length && Boolean(page) });
}

/** @param {Request} request */
async function keptPage(request) {
  const cache = await caches.open(SEEN);
  const loosely = { ignoreSearch: new URL(request.url).pathname.startsWith("/bucket") };
  const shell = await caches.open(SHELL);
  return (await cache.match(request)) || (await cache.match(request, loosely)) || (await shell.match(request, loosely));
}

/**
 * A page that is not kept: without a server our own page says so, never the browser's error.
 * @param {Request} request
 */
async function elsewhere(request) {
  try {
    return await fetch(request);
  } catch (error) {
    return offlinePage(error);
  }
}

/** @param {unknown} error */
async function offlinePage(error) {
  const page = await (await caches.open(SHELL)).match(OFFLINE);
  if (page) return page;
  throw error;
}

/** @param {string} path */
function isSeen(path) {
  return path === "/bucket" || path.startsWith("/bucket/") || /^\/sessions\/\d+\/(practice|round)$/.test(path);
}

/** @param {Request} request */
async function fromNetwork(request) {
  const patience = new AbortController();
  const timer = setTimeout(() => patience.abort(), PATIENCE_MS);
  try {
    return await fetch(request, { signal: patience.signal });
  } finally {
    clearTimeout(timer);
  }
}

/** @param {Request} request */
async function file(request) {
  const cache = await caches.open(SHELL);
  const { pathname } = new URL(request.url);
  const kept = await cache.match(request);
  if (kept && pathname.startsWith(HERE)) return kept; // its address names its content
  try {
    const answer = await fromNetwork(request);
    if (answer.ok) await cache.put(request, answer.clone());
    return answer;
  } catch (error) {
    const present = pathname.replace(/^\/static\/([0-9a-f]{12}\/)?/, HERE);
    const last = kept || (await cache.match(present));
    if (last) return last;
    throw error;
  }
}

/** @param {Request} request */
async function seen(request) {
  const cache = await caches.open(SEEN);
  try {
    const answer = await fromNetwork(request);
    if (answer.status === 401 || answer.status === 403)
      await caches.delete(SEEN); // let in no more: names and charts are forgotten
    else if (answer.ok && !answer.redirected) await cache.put(request, answer.clone());
    return answer;
  } catch (error) {
    const last = await keptPage(request);
    if (last) return last;
    if (request.mode === "navigate") return offlinePage(error);
    throw error;
  }
}

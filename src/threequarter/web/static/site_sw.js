// Of a folder on any web host: every page and file is kept as it was written, checked by its digest, and answers before the network.
// A newer version waits until a page says to take it over, so that no page runs on files of two versions.
/** @type {Record<string, string>} SHA-256 of each file by its address beside this one */
const FILES = DIGESTS_OF_FILES;
const POLICY = "POLICY_OF_PAGES";
const MAY_COMPILE = "POLICY_OF_ENGINE";
const ENGINE = "engine/worker.js";
const OFFLINE = "offline.html";
const worker = /** @type {any} */ (self);
const SCOPE = worker.registration.scope;
const MINE = `threequarter-site ${SCOPE} `;
const SHELL = `${MINE}VERSION`;

worker.addEventListener("install", (/** @type {any} */ event) => event.waitUntil(install()));
worker.addEventListener("activate", (/** @type {any} */ event) => event.waitUntil(activate()));
worker.addEventListener("fetch", (/** @type {any} */ event) => {
  const { method, url } = event.request;
  if (method === "GET" && url.startsWith(SCOPE)) event.respondWith(answer(event.request));
});
worker.addEventListener("message", (/** @type {any} */ event) => {
  if (event.data.takeOver) event.waitUntil(worker.skipWaiting());
  else event.waitUntil(tellKept(event.data.page, event.ports[0]));
});

/** @param {string} path */
const addressOf = (path) => new URL(path, SCOPE).href;

async function install() {
  const cache = await caches.open(SHELL);
  await Promise.all(Object.entries(FILES).map(([path, digest]) => take(cache, path, digest)));
}

/** @param {Cache} cache @param {string} path @param {string} digest */
async function take(cache, path, digest) {
  const found = await fetch(addressOf(path), { cache: "reload" });
  const bytes = await found.arrayBuffer();
  const seen = [...new Uint8Array(await crypto.subtle.digest("SHA-256", bytes))];
  if (!found.ok || seen.map((one) => one.toString(16).padStart(2, "0")).join("") !== digest)
    throw new Error(`${path}: not the file that was written`);
  const headers = {
    "content-type": found.headers.get("content-type") || "application/octet-stream",
    "content-security-policy": path.endsWith(ENGINE) ? MAY_COMPILE : POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=(self)",
  };
  await cache.put(addressOf(path), new Response(bytes, { headers }));
}

async function activate() {
  const old = (await caches.keys()).filter((name) => name.startsWith(MINE) && name !== SHELL);
  await Promise.all(old.map((name) => caches.delete(name)));
  await worker.clients.claim();
}

/** @param {Request} request */
async function answer(request) {
  const cache = await caches.open(SHELL);
  const kept = await cache.match(request, { ignoreSearch: true });
  if (kept) return kept;
  if (request.mode !== "navigate") return fetch(request);
  return (await cache.match(addressOf(request.url.endsWith("/index.html") ? "./" : OFFLINE))) || fetch(request);
}

/**
 * Whether a page opens without a signal: it and every other file lie here.
 * @param {string} path
 * @param {MessagePort} port
 */
async function tellKept(path, port) {
  const cache = await caches.open(SHELL);
  const lies = async () =>
    (await Promise.all([path, ...Object.keys(FILES)].map((one) => cache.match(addressOf(one))))).every(Boolean);
  if (!(await lies())) await install().catch(() => null); // the browser threw some away: fetched again where there is a signal
  port.postMessage({ kept: await lies() });
}

// In place of a page that is not on this phone: the pages that are, by their titles.
const SEEN = "threequarter-seen";

async function list() {
  const cache = await caches.open(SEEN);
  const found = [];
  for (const request of await cache.keys()) {
    const answer = await cache.match(request);
    if (!answer || !(answer.headers.get("content-type") || "").startsWith("text/html")) continue;
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const { pathname, search } = new URL(request.url);
    found.push({ address: pathname + search, title: page.title || pathname });
  }
  return found;
}

const place = document.getElementById("kept-pages");
if (place && "caches" in window) {
  const found = await list();
  for (const one of found) {
    const line = document.createElement("li");
    const link = document.createElement("a");
    link.href = one.address;
    link.textContent = one.title;
    line.append(link);
    place.append(line);
  }
  const none = document.getElementById("kept-none");
  if (none) none.hidden = found.length > 0;
}
document.getElementById("try-again")?.addEventListener("click", () => location.reload());

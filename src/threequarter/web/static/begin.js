// A new bucket where no server is near: begun on this phone, and brought to the server when there is one.
import { newKey } from "./balls.js";
import { buckets, keepBucket, placeOf } from "./here_buckets.js";
import { element, input } from "./page.js";

const PATIENCE_MS = 4000;
const form = element("begin", HTMLFormElement);

/** @param {string} name */
const listed = (name) => [
  ...new Set(
    input(name)
      .value.split(",")
      .map((one) => one.trim())
      .filter(Boolean),
  ),
];

async function serverThere() {
  try {
    return (await fetch("/manifest.webmanifest", { cache: "no-store", signal: AbortSignal.timeout(PATIENCE_MS) })).ok;
  } catch {
    return false;
  }
}

async function beginHere() {
  const bucket = { id: -Date.now(), key: newKey(), player: input("player").value.trim(), at: Date.now() };
  const unit = element("unit", HTMLSelectElement).value;
  await keepBucket({ ...bucket, unit, clubs: listed("clubs"), swings: listed("swings") });
  location.href = placeOf({ ...bucket, unit, clubs: [], swings: [] });
}

form.addEventListener("submit", async (event) => {
  event.preventDefault();
  if (await serverThere()) form.submit();
  else await beginHere();
});

const mine = (await buckets()).filter((bucket) => bucket.id < 0);
element("here").hidden = !mine.length;
for (const bucket of mine) {
  const line = document.createElement("li");
  const link = document.createElement("a");
  link.href = placeOf(bucket);
  link.role = "button";
  link.dir = "auto";
  link.textContent = `${bucket.player}, ${new Date(bucket.at).toLocaleDateString(document.documentElement.lang)}`;
  line.append(link);
  element("here-list").append(line);
}

// A new bucket where no server is near: begun on this phone, and brought to the server when there is one.
import { ALONE, at } from "./addresses.js";
import { newKey } from "./balls.js";
import { buckets, keepBucket, placeOf } from "./here_buckets.js";
import { canKeep, keepHere } from "./kept_here.js";
import { element, input, note, say } from "./page.js";
import { writtenDay } from "./texts.js";

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

/** The field that is empty and may not be. */
const wrongWith = () => ["player", "clubs", "swings"].find((name) => !listed(name).length);

async function serverThere() {
  try {
    return (await fetch("/manifest.webmanifest", { cache: "no-store", signal: AbortSignal.timeout(PATIENCE_MS) })).ok;
  } catch {
    return false;
  }
}

async function beginHere() {
  const wrong = wrongWith();
  if (wrong) {
    input(wrong).focus();
    return;
  }
  // two tabs in one instant begin two buckets
  const id = -(Date.now() * 1000 + Math.floor(Math.random() * 1000));
  const bucket = { id, key: newKey(), player: input("player").value.trim(), at: Date.now() };
  const unit = element("unit", HTMLSelectElement).value;
  const kept = keepBucket({ ...bucket, unit, clubs: listed("clubs"), swings: listed("swings") });
  const refused = await kept.then(
    () => false,
    () => true,
  );
  element("not-begun").hidden = !refused;
  if (refused) return;
  location.href = placeOf({ ...bucket, unit, clubs: [], swings: [] });
}

form.addEventListener("submit", async (event) => {
  event.preventDefault();
  if (!ALONE && (await serverThere())) form.submit();
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
  link.textContent = `${bucket.player}, ${writtenDay(bucket.at, document.documentElement.lang)}`;
  line.append(link);
  element("here-list").append(line);
}

/** Without a server of ours: says whether all this opens without a signal, once that was looked up. */
async function sayTier() {
  element("tier").textContent = `${say(canKeep() ? "tier_making" : "tier_open_alone")}.`;
  const kept = (await everyKept()) ? "tier_full" : canKeep() ? "tier_making" : "tier_open_alone";
  const lasts = (await navigator.storage?.persist?.().catch(() => false)) === false ? ` ${say("may_clear_alone")}` : "";
  element("tier").textContent = `${say(kept)}.${lasts}`;
}

async function everyKept() {
  for (const path of [
    "/bucket",
    "/bucket/here",
    "/bucket/chart",
    "/bucket/round",
    "/bucket/practice",
    "/bucket/recheck",
  ])
    if (!(await keepHere(at(path)))) return false;
  return true;
}

if (location.hash === "#gone") note("gone-bucket", say("bucket_gone"));
if (ALONE) await sayTier();

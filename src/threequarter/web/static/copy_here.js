// All that is on this phone: counted, saved as a file, shared, brought in from one, erased.
import { ALONE } from "./addresses.js";
import { all, drop, open, put } from "./ball_store.js";
import { unsent } from "./balls.js";
import { buckets, dropBucket, keepBucket, placeOf } from "./here_buckets.js";
import { button, element, input, LANGUAGE, say } from "./page.js";
import { copyOf, merged, readCopy } from "./phone_copy.js";
import { dropTest, keepTest, tests } from "./test_store.js";
import { writtenDay } from "./texts.js";

const NAME = "threequarter-phone";
const STORES = ["threequarter", "threequarter-here", "threequarter-tests"];
const MEGABYTE = 1e6;

/** @param {string} id @param {string} text */
const tell = (id, text) => {
  element(id).textContent = text;
};

async function everything() {
  return { buckets: await buckets(), balls: await all(), tests: await tests() };
}

async function copyNow() {
  const found = await everything();
  return JSON.stringify(copyOf(found.buckets, found.balls, found.tests, Date.now()), null, 1);
}

async function sayKeeps() {
  const lasts = await navigator.storage?.persisted?.().catch(() => false);
  const room = await navigator.storage?.estimate?.().catch(() => null);
  const used = room
    ? say("room", { used: ((room.usage ?? 0) / MEGABYTE).toFixed(1), all: Math.round((room.quota ?? 0) / MEGABYTE) })
    : "";
  tell("keeps", `${say(lasts ? "lasts" : "may_clear_alone")} ${used}`);
}

/** @param {import("./here_buckets.js").Bucket} bucket @param {number} count */
function line(bucket, count) {
  const made = document.createElement("li");
  const link = document.createElement("a");
  link.href = placeOf(bucket);
  link.dir = "auto";
  const day = writtenDay(bucket.at, LANGUAGE);
  link.textContent = `${bucket.player}, ${day}, ${say("balls", { n: count })}`;
  made.append(
    link,
    button(say("delete"), () => remove(bucket, count, made), link.textContent, "outline"),
  );
  return made;
}

/** Asked once more, at the same place. @param {import("./here_buckets.js").Bucket} bucket @param {number} count @param {HTMLElement} place */
function remove(bucket, count, place) {
  const now = async () => {
    for (const ball of await all(bucket.id)) await drop(ball.key);
    for (const test of await tests(bucket.id)) await dropTest(test.key);
    await dropBucket(bucket.id);
    await show();
  };
  place.replaceChildren(
    Object.assign(document.createElement("span"), {
      textContent: say("erase_bucket", { player: bucket.player, n: count }),
    }),
    button(say("delete"), now, bucket.player),
    button(say("keep_it"), show, bucket.player, "outline"),
  );
}

async function show() {
  const found = await everything();
  const mine = found.buckets.filter((bucket) => bucket.id < 0);
  const count = (/** @type {number} */ id) => found.balls.filter((ball) => ball.session === id && !ball.back).length;
  const total = mine.reduce((sum, bucket) => sum + count(bucket.id), 0);
  tell("says", mine.length ? say("on_phone", { n: total, buckets: mine.length }) : say("nothing_here"));
  element("buckets").replaceChildren(...mine.map((bucket) => line(bucket, count(bucket.id))));
  const file = element("save-file", HTMLAnchorElement);
  if (file.href.startsWith("blob:")) URL.revokeObjectURL(file.href);
  file.href = URL.createObjectURL(new Blob([await copyNow()], { type: "application/json" }));
  file.download = `${NAME}-${new Date().toISOString().slice(0, 10)}.json`;
}

/** As the phone's share sheet takes it: some take no JSON, then it goes as a text file. */
function shareable() {
  /** @type {[string, string][]} */
  const kinds = [
    ["json", "application/json"],
    ["txt", "text/plain"],
  ];
  const of =
    (/** @type {[string, string]} */ [ending, type]) =>
    (/** @type {string} */ text) =>
      new File([text], `${NAME}.${ending}`, { type });
  return kinds.map(of).find((make) => navigator.canShare?.({ files: [make("{}")] }));
}

/** @param {File} file */
async function bring(file) {
  const copy = readCopy(await file.text());
  if (!copy) {
    tell("brought", say("no_copy", { name: file.name }));
    return;
  }
  const { counts, ...found } = merged(copy, await everything(), Date.now());
  try {
    for (const bucket of found.buckets) await keepBucket(bucket);
  } catch {
    tell("brought", say("no_room_alone"));
    return;
  }
  let kept = !found.balls.length || (await put(...found.balls));
  for (const test of found.tests) kept = (await keepTest(test)) && kept;
  tell("brought", kept ? say("copy_in", counts) : say("no_room_alone"));
  await show();
}

async function askErase() {
  const { balls } = await everything();
  const waiting = balls.filter((ball) => ball.session > 0 && unsent(ball)).length;
  const more = waiting ? ` ${say("erase_waiting", { n: waiting })}` : "";
  tell("erase-says", say("erase_all", { n: balls.filter((ball) => !ball.back).length }) + more);
  element("erase-ask").hidden = false;
  element("erase-not").focus();
}

async function erase() {
  for (const { key } of await all()) await drop(key);
  for (const { id } of await buckets()) await dropBucket(id);
  for (const { key } of await tests()) await dropTest(key);
  for (const name of STORES) indexedDB.deleteDatabase(name); // once every page has let go of it; it is empty already
  localStorage.clear();
  sessionStorage.clear();
  if ("caches" in window) await caches.delete("threequarter-seen");
  location.reload();
}

const make = shareable();
element("share").hidden = !make;
element("share").addEventListener("click", async () => {
  const file = make?.(await copyNow());
  if (file) await navigator.share({ files: [file] }).catch(() => null);
});
input("bring").addEventListener("change", async () => {
  const file = input("bring").files?.[0];
  if (file) await bring(file);
  input("bring").value = "";
});
element("erase").addEventListener("click", askErase);
element("erase-not").addEventListener("click", () => {
  element("erase-ask").hidden = true;
});
element("erase-now").addEventListener("click", erase);
if (await open()) await show();
else tell("says", say(ALONE ? "memory_only_alone" : "memory_only"));
await sayKeeps();
document.body.dataset.ready = "yes";

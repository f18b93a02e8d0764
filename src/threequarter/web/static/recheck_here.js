// Whether the chart of earlier buckets of the same player on this phone still holds, by the balls of this one.
import { all, open } from "./ball_store.js";
import { ask, question, questionOf } from "./bucket/here.js";
import { clubs, session } from "./bucket/state.js";
import { bucketOf, buckets } from "./here_buckets.js";
import { element, LANGUAGE, say } from "./page.js";
import { writtenDay } from "./texts.js";

/** @param {string} name */
const plain = (name) => name.trim().toLocaleLowerCase();

/** @param {number} at */
const dayOf = (at) => new Date(at).setHours(0, 0, 0, 0);

/** Buckets of the same player begun on a day before this one, with a ball. @param {import("./here_buckets.js").Bucket} mine */
async function earlier(mine) {
  const found = (await buckets()).filter(
    (one) => one.id < 0 && dayOf(one.at) < dayOf(mine.at) && plain(one.player) === plain(mine.player),
  );
  const hit = await Promise.all(found.map(async (one) => (await all(one.id)).some((ball) => !ball.back)));
  return found.filter((_, i) => hit[i]);
}

async function begin() {
  await open();
  const mine = clubs.length ? await bucketOf(session) : undefined;
  if (!mine) return say("chart_unknown");
  if (session > 0) return say("recheck_server");
  const before = await earlier(mine);
  if (!before.length) return say("recheck_none", { player: mine.player });
  const now = await question();
  if (!now.typed.some((/** @type {any} */ ball) => !ball.back)) return say("recheck_no_ball");
  const { found, why } = await ask("holds", { before: await Promise.all(before.map(questionOf)), now });
  if (!found) return why || say("chart_none");
  element("verdict").textContent = say(`recheck_${found.verdict}`);
  element("verdict").hidden = false;
  element("lines").replaceChildren(
    ...found.lines.map((/** @type {string} */ textContent) =>
      Object.assign(document.createElement("li"), { textContent }),
    ),
  );
  const days = before.map((one) => writtenDay(one.at, LANGUAGE)).join(", ");
  return say("recheck_days", { now: writtenDay(mine.at, LANGUAGE), before: days });
}

element("says").textContent = await begin();
document.body.dataset.ready = "yes";

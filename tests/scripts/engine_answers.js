// Answers as the phone's engine does: JSON lines in, JSON lines out. { balls, plan }: the whole answer; { live: asked }: what the keys
// show; { typed, ground }: typed balls as carries; { called }: calls of a game; { scored }: a score; { old, fresh }: a recheck.
import { readFileSync } from "node:fs";
import { createInterface } from "node:readline";
import { answer } from "../../src/threequarter/web/static/engine/answer.js";
import { fitChart } from "../../src/threequarter/web/static/engine/fit.js";
import { callsOf, scoreOf, usualInside } from "../../src/threequarter/web/static/engine/games.js";
import { live, whole } from "../../src/threequarter/web/static/engine/live.js";
import { recheck } from "../../src/threequarter/web/static/engine/recheck.js";
import { makeReady } from "../../src/threequarter/web/static/engine/core.js";
import { ballOf, toCarry } from "../../src/threequarter/web/static/engine/typed.js";

const root = new URL("../../src/threequarter/", import.meta.url);
await makeReady(readFileSync(new URL("core/core.wasm", root)));

function said(question) {
  if (question.live) return live(question.live);
  if (question.whole) return whole(question.whole);
  if (question.scored) return scoreOf(question.scored);
  if (question.old) return recheck(fitChart(question.old), question.fresh);
  if (question.called) {
    const calls = callsOf(fitChart(question.called), question.game, question.count, question.seed ?? 1);
    return { calls, usual: usualInside(calls) };
  }
  if (question.typed) return question.typed.map((one, i) => toCarry(ballOf(one, i + 1), question.ground));
  const { chart, advice, meaning, mishits } = answer(question.balls, question.plan ?? null);
  const { cells, verdicts, checks, notes, drift90 } = chart;
  return { cells, verdicts, checks, notes, drift90, advice, meaning: meaning(), mishits };
}

for await (const line of createInterface({ input: process.stdin })) {
  try {
    process.stdout.write(`${JSON.stringify(said(JSON.parse(line)))}\n`);
  } catch (error) {
    if (!error.told) throw error;
    process.stdout.write(`${JSON.stringify({ told: error.told })}\n`);
  }
}

// What each shot goes, to look at before a round: by shot and by number, worked out on this phone.
import { open } from "./ball_store.js";
import { workOut } from "./bucket/here.js";
import { clubs } from "./bucket/state.js";
import { cellTable, ofCard } from "./cell_table.js";
import { element, say } from "./page.js";

/** @param {any} rung */
function line(rung) {
  const made = document.createElement("li");
  if (rung.gap) {
    made.append(Object.assign(document.createElement("em"), { textContent: say("gap_at", { span: rung.gap }) }));
    return made;
  }
  const shots = document.createElement("span");
  for (const { name, doubt } of rung.shots) {
    const shot = Object.assign(document.createElement("span"), { textContent: `${name} ` });
    shot.append(Object.assign(document.createElement("small"), { textContent: doubt }));
    shots.append(shot);
  }
  made.append(Object.assign(document.createElement("b"), { textContent: String(rung.number) }), shots);
  return made;
}

await open();
const chart = clubs.length ? await workOut("whole") : null;
if (chart) {
  element("says").textContent = say("chart_here", { n: chart.balls, unit: chart.unit });
  cellTable(chart, ofCard);
  element("rungs").replaceChildren(...chart.ladder.map(line));
  element("unsure").hidden = !chart.cells.some((/** @type {any} */ cell) => cell.need);
  element("chart").hidden = false;
} else element("says").textContent = say(clubs.length ? "chart_none" : "chart_unknown");
document.body.dataset.ready = "yes";

// The chart of a bucket without a server: worked out on this phone from the balls it knows.
import { open } from "./ball_store.js";
import { workOut } from "./bucket/here.js";
import { clubs } from "./bucket/state.js";
import { cellTable } from "./cell_table.js";
import { element, say } from "./page.js";

/**
 * @param {string} id
 * @param {string[]} lines
 */
function list(id, lines) {
  element(id).replaceChildren(
    ...lines.map((text) => {
      const line = document.createElement("li");
      line.textContent = text;
      line.dir = "auto";
      return line;
    }),
  );
}

/** @param {any} chart */
function show(chart) {
  element("says").textContent = say("chart_here", { n: chart.balls, unit: chart.unit });
  cellTable(chart);
  list("words", chart.words);
  list("meaning", chart.meaning);
  const told = chart.cells.flatMap((/** @type {any} */ cell) =>
    cell.told.map((/** @type {string} */ one) => `${cell.club} ${cell.swing}: ${one}`),
  );
  const notes = [...chart.checks, ...chart.notes, ...told];
  list("notes", notes);
  element("notes-part").hidden = !notes.length;
  const ladder = [...chart.cells].sort((a, b) => a.carry - b.carry);
  element("card").replaceChildren(
    ...ladder.map((cell) => {
      const line = document.createElement("li");
      const name = Object.assign(document.createElement("span"), { textContent: `${cell.club} ${cell.swing}` });
      line.append(name, Object.assign(document.createElement("b"), { textContent: cell.another }));
      return line;
    }),
  );
  element("unsure").hidden = !chart.cells.some((/** @type {any} */ cell) => cell.need);
  element("chart").hidden = false;
}

element("print").addEventListener("click", () => print());
await open();
if (clubs.length) {
  const chart = await workOut("whole");
  if (chart) show(chart);
  else element("says").textContent = say("chart_none");
} else element("says").textContent = say("chart_unknown");
document.body.dataset.ready = "yes";

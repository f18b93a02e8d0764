// The chart of a bucket without a server: worked out on this phone from the balls it knows.
import { open } from "./ball_store.js";
import { workOut } from "./bucket/here.js";
import { clubs, session } from "./bucket/state.js";
import { placeOf } from "./here_buckets.js";
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

/**
 * @param {"td" | "th"} kind
 * @param {string} text
 * @param {string} [small]
 */
function field(kind, text, small) {
  const made = document.createElement(kind);
  made.textContent = text;
  if (kind === "th") made.dir = "auto";
  if (small) made.append(Object.assign(document.createElement("small"), { textContent: small }));
  return made;
}

/** @param {HTMLElement[]} fields */
function row(fields) {
  const made = document.createElement("tr");
  made.append(...fields);
  return made;
}

/** @param {any} chart */
function table(chart) {
  const cells = element("cells", HTMLTableElement);
  cells.tHead?.replaceChildren(
    row([field("td", ""), ...chart.swings.map((/** @type {string} */ swing) => field("th", swing))]),
  );
  const rows = chart.clubs.map((/** @type {string} */ club) => {
    const mine = chart.cells.filter((/** @type {any} */ cell) => cell.club === club);
    const fields = mine.map((/** @type {any} */ cell) => {
      const made = field("td", `${cell.carry} ± ${cell.doubt}`, cell.balls ? say("balls", { n: cell.balls }) : "·");
      made.className = cell.balls ? "" : "never";
      return made;
    });
    return row([field("th", club), ...fields]);
  });
  cells.tBodies[0].replaceChildren(...rows);
}

/** @param {any} chart */
function show(chart) {
  element("says").textContent = say("chart_here", { n: chart.balls, unit: chart.unit });
  table(chart);
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
  element("chart").hidden = false;
}

element("print").addEventListener("click", () => print());
await open();
if (clubs.length) {
  element("back", HTMLAnchorElement).href = placeOf({
    id: session,
    key: "",
    player: "",
    unit: "",
    clubs: [],
    swings: [],
    at: 0,
  });
  const chart = await workOut("whole");
  if (chart) show(chart);
  else element("says").textContent = say("chart_none");
} else element("says").textContent = say("chart_unknown");
document.body.dataset.ready = "yes";

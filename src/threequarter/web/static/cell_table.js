// The chart as a table: a row for each wedge, a column for each swing length with its sign.
import { signOf } from "./bucket/state.js";
import { element, say } from "./page.js";

const SIGN = 26;

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

/** @param {string} swing */
function lengthHead(swing) {
  const made = field("th", swing);
  made.prepend(signOf(swing, SIGN));
  return made;
}

/** A cell as the chart shows it. @param {any} cell @returns {[string, string]} */
const ofChart = (cell) => [
  `${cell.carry} ± ${cell.doubt}${cell.need ? "?" : ""}`,
  cell.balls ? say("balls", { n: cell.balls }) : "·",
];

/** A cell as the card shows it. @param {any} cell @returns {[string, string]} */
export const ofCard = (cell) => [`${cell.carry}${cell.need ? "?" : ""}`, cell.lands];

/** Fills #cells. @param {any} chart @param {(cell: any) => [string, string]} [shows] */
export function cellTable(chart, shows = ofChart) {
  const cells = element("cells", HTMLTableElement);
  cells.tHead?.replaceChildren(row([field("td", ""), ...chart.swings.map(lengthHead)]));
  const rows = chart.clubs.map((/** @type {string} */ club) => {
    const mine = chart.cells.filter((/** @type {any} */ cell) => cell.club === club);
    const fields = mine.map((/** @type {any} */ cell) => {
      const made = field("td", ...shows(cell));
      made.className = cell.balls ? "" : "never";
      return made;
    });
    return row([field("th", club), ...fields]);
  });
  cells.tBodies[0].replaceChildren(...rows);
}

// A tap on a swing's sheet marks a body point: which of the four pictures was tapped says whether at the top or the finish.

/** @type {Record<number, "top" | "finish">} */
const ENDS = { 1: "top", 3: "finish" };
const PANELS = 4;

/**
 * Where a tap lies in the film, and at which end of the swing; nothing beside the two pictures that count.
 * @param {{ panel: number, gap: number, left: number, top: number, scale: number }} sheet
 * @param {number} x in the sheet's own units
 * @param {number} y
 */
export function tapped({ panel, gap, left, top, scale }, x, y) {
  const which = Math.floor((x - gap / 2) / (panel + gap));
  const end = ENDS[which];
  if (!end) return null;
  const begins = gap + which * (panel + gap);
  return { end, x: left + (x - begins) / scale, y: top + y / scale };
}

/**
 * @param {HTMLFormElement} form
 * @param {HTMLImageElement} picture
 * @param {MouseEvent} event
 */
function mark(form, picture, event) {
  const [panel, gap, left, top, scale] = ["panel", "gap", "x", "y", "scale"].map((name) => Number(form.dataset[name]));
  const rect = picture.getBoundingClientRect();
  const grown = (PANELS * panel + (PANELS + 1) * gap) / rect.width;
  const [x, y] = [(event.clientX - rect.left) * grown, (event.clientY - rect.top) * grown];
  const found = tapped({ panel, gap, left, top, scale }, x, y - Number(form.dataset.top));
  const point = form.querySelector(".point");
  if (!found || !(point instanceof HTMLSelectElement)) return;
  const field = form.elements.namedItem(`${point.value}_${found.end}`);
  if (field instanceof HTMLInputElement) field.value = `${found.x.toFixed(1)},${found.y.toFixed(1)}`;
  const folded = form.closest("details");
  if (folded) folded.open = true;
  const says = form.querySelector(".tapped");
  const said = found.end === "top" ? point.dataset.saysTop : point.dataset.saysFinish;
  if (says) says.textContent = `${point.selectedOptions[0].text} ${said}`;
}

for (const form of globalThis.document?.querySelectorAll("form[data-mark]") || []) {
  if (!(form instanceof HTMLFormElement)) continue;
  const picture = document.querySelector(`img[data-sheet="${form.dataset.mark}"]`);
  if (picture instanceof HTMLImageElement) picture.addEventListener("click", (event) => mark(form, picture, event));
}

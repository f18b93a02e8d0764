// The lesson: its clock goes on, and a line says when there is something new to show. Nothing moves by itself.
const TICK_MS = 20000;
const LOOK_AGAIN_MS = 8000;

/** @param {HTMLElement} clock */
function tick(clock) {
  const minutes = Math.max(0, Math.floor((Date.now() - Date.parse(clock.dataset.lessonClock || "")) / 60000));
  clock.textContent = String(minutes);
}

/** @param {HTMLElement} line */
async function look(line) {
  try {
    const told = await (await fetch(line.dataset.lessonNews || "")).json();
    if (told.token && told.token !== line.dataset.token) line.hidden = false;
  } catch {
    /* no signal: the page stays as it is */
  }
  setTimeout(() => look(line), LOOK_AGAIN_MS);
}

const clock = document.querySelector("[data-lesson-clock]");
if (clock instanceof HTMLElement) setInterval(() => tick(clock), TICK_MS);
const news = document.querySelector("[data-lesson-news]");
if (news instanceof HTMLElement) setTimeout(() => look(news), LOOK_AGAIN_MS);

// A table that is chosen is taken in at once.
const table = document.querySelector("form[data-drop-table]");
const choose = table?.querySelector(".choose");
if (table instanceof HTMLFormElement && choose instanceof HTMLElement) {
  const file = /** @type {HTMLInputElement} */ (table.elements.namedItem("file"));
  table.classList.add("at-once");
  choose.hidden = false;
  file.tabIndex = -1;
  choose.addEventListener("click", () => file.click());
  file.addEventListener("change", () => table.requestSubmit());
}

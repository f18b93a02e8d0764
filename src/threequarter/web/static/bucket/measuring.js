// How it was measured, in which order, with guess and side: kept on this phone; loaded when something else than the usual is chosen.
import { element, input, recall, remember, say } from "../page.js";
import { atBall, marked, markMat } from "../place.js";
import { by, METRES, state, step, unit } from "./state.js";
import { clear, guessing, showTyped } from "./typing.js";

const MOST_IN_A_PILE = 200;
/** @type {Record<string, string>} */
const FAILED = { none: "place_none", refused: "place_refused", failed: "place_failed" };
/** Of the half-width of a 90 % interval of a normal error, and the 95 % radius of a circular one, in standard deviations. */
const [HALF_90, RADIUS_95] = [1.645, 2.448];

function stepLine() {
  const own = step();
  if (own) return say("step_is", { step: (own[1] / own[0]).toFixed(2) });
  const [paces, over] = ["step-paces", "step-over"].map((id) => Number(input(id).value.replace(",", ".")));
  return paces && over ? say("step_bad", { step: (over / paces).toFixed(2) }) : say("step_usual");
}

/** Shows what belongs to the way of measuring that is chosen. */
export function showWay() {
  const way = by();
  element("step").hidden = way !== "paces";
  element("place-rules").hidden = way !== "position";
  element("way-pile").hidden = way !== "pile";
  element("way-place").hidden = way !== "position";
  element("pile").textContent = say("pile_of", { n: state.pile });
  element("step-says").textContent = stepLine();
  document.body.classList.toggle("with-side", input("with-side").checked);
  showTyped();
}

/** @param {(tell: import("../place.js").Tell) => Promise<string>} act */
async function placed(act) {
  const says = element("place-says");
  if (!input("nobody").checked) {
    says.textContent = say("nobody_plays");
    return;
  }
  try {
    says.textContent = await act((n, radius) => {
      says.textContent = say("place_looking", { n, radius: Math.round(radius) });
    });
  } catch (error) {
    says.textContent = say(FAILED[error instanceof Error ? error.message : ""] || "place_failed");
  }
}

/** @param {import("../place.js").Tell} tell */
async function measure(tell) {
  if (!marked()) return say("mat_missing");
  if (guessing()) return say("type_guess");
  const found = await atBall(tell);
  const doubt = (HALF_90 * Math.hypot(found.start, found.end)) / RADIUS_95;
  if (doubt > found.metres / 2) return say("too_unsure");
  state.typed = (found.metres / METRES[unit]).toFixed(1);
  state.measured = found;
  showTyped();
  const [start, end] = [Math.round(found.start), Math.round(found.end)];
  return say("at_ball", { distance: state.typed, unit, doubt: (doubt / METRES[unit]).toFixed(0), start, end });
}

/** Brings back what was chosen before. */
export function bringBack() {
  for (const name of ["by", "order"]) {
    const kept = document.querySelector(`[name=${name}][value="${CSS.escape(recall(name))}"]`);
    if (kept instanceof HTMLInputElement) kept.checked = true;
  }
  for (const name of ["with-guess", "with-side"]) input(name).checked = recall(name) === "yes";
  for (const name of ["step-paces", "step-over"]) input(name).value = recall(name);
  showWay();
}

/** Keeps what is chosen now: it may have been chosen before this part was here. */
function rememberAll() {
  for (const name of ["by", "order"]) {
    const chosen = document.querySelector(`[name=${name}]:checked`);
    if (chosen instanceof HTMLInputElement) remember(name, chosen.value);
  }
  for (const name of ["with-guess", "with-side"]) remember(name, input(name).checked ? "yes" : "");
  for (const name of ["step-paces", "step-over"]) if (input(name).value) remember(name, input(name).value);
}

/**
 * Keeps each choice from now on; `chosen` is called after a change.
 * @param {() => unknown} chosen
 */
export function rememberChoices(chosen) {
  for (const name of ["step-paces", "step-over"]) input(name).value ||= recall(name);
  for (const one of document.querySelectorAll("[name=by], [name=order]"))
    one.addEventListener("change", () => {
      rememberAll();
      state.measured = null;
      showWay();
      chosen();
    });
  for (const name of ["with-guess", "with-side"])
    input(name).addEventListener("change", () => {
      rememberAll();
      clear();
      showWay();
    });
  for (const name of ["step-paces", "step-over"])
    input(name).addEventListener("input", () => {
      remember(name, input(name).value);
      showWay();
    });
  rememberAll();
  state.mat = marked();
  showWay();
  chosen();
}

element("way-pile").addEventListener("click", (event) => {
  const more = Number(/** @type {HTMLElement} */ (event.target).dataset.pile);
  if (!more) return;
  state.pile = Math.min(MOST_IN_A_PILE, Math.max(1, state.pile + more));
  remember("pile", String(state.pile));
  showWay();
});
element("at-mat").addEventListener("click", () =>
  placed(async (tell) => {
    const radius = Math.round(await markMat(tell));
    state.mat = true;
    return say("mat_marked", { radius });
  }),
);
element("at-ball").addEventListener("click", () => placed(measure));

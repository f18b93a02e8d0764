// The page of a measured clip: the buttons, keys and forms around its screen.

import { FilmView, filled } from "./film_view.js";
import { element, input } from "./page.js";

const FRAME_PX = 14; // of the thumb
const KEYS = /** @type {Record<string, number>} */ ({ ArrowLeft: -1, ArrowRight: 1, PageUp: -10, PageDown: 10 });

/** Every element of a kind below another. @template {HTMLElement} T
 * @param {Element} within @param {string} which @param {new () => T} kind @returns {T[]} */
const all = (within, which, kind) =>
  /** @type {T[]} */ ([...within.querySelectorAll(which)].filter((one) => one instanceof kind));

/** @param {HTMLFormElement} form @param {string} name */
const field = (form, name) => /** @type {HTMLInputElement} */ (form.elements.namedItem(name));

/** The slider, the buttons below it, what is drawn. @param {FilmView} view */
function steps(view) {
  view.slider.max = String(view.main.length);
  view.slider.step = String(view.main.told.frame_s);
  view.slider.addEventListener("input", () => {
    view.stop();
    view.show(Number(view.slider.value));
  });
  for (const [id, frames] of /** @type {[string, number][]} */ ([
    ["film-back", -1],
    ["film-on", 1],
  ]))
    element(id).addEventListener("click", () => {
      view.stop();
      view.step(frames);
    });
  element("film-play").addEventListener("click", () => view.play());
  for (const id of ["film-lines", "film-bare"])
    input(id).addEventListener("change", () => {
      view.main.draw();
      view.beside?.draw();
      for (const consent of all(view.film, "[data-consent]", HTMLElement))
        for (const tick of all(consent, "input", HTMLInputElement))
          consent.hidden = tick.disabled = input("film-bare").checked;
    });
}

/** @param {FilmView} view */
function keys(view) {
  const picture = view.main.canvas;
  view.film.addEventListener("keydown", (event) => {
    const on = /** @type {Element} */ (event.target);
    if (on.matches("select, input:not([type=range])")) return;
    const frames = KEYS[event.key];
    if (frames) {
      event.preventDefault();
      view.stop();
      view.step(event.shiftKey ? 10 * frames : frames);
    }
    if (event.key === " " && on === picture) {
      event.preventDefault();
      view.play();
    }
  });
}

/** The wheel and the thumb on the picture: to the right is on. @param {FilmView} view */
function hand(view) {
  const picture = view.main.canvas;
  const turned = (/** @type {WheelEvent} */ event) => {
    event.preventDefault();
    view.stop();
    view.step(event.deltaY > 0 ? 1 : -1);
  };
  picture.addEventListener("wheel", turned, { passive: false });
  /** @type {{ x: number, at: number } | null} */
  let held = null;
  picture.addEventListener("pointerdown", (event) => {
    view.stop();
    held = { x: event.clientX, at: view.main.at };
    picture.setPointerCapture(event.pointerId);
  });
  picture.addEventListener("pointermove", (event) => {
    if (!held) return;
    const each = view.main.told.frame_s;
    const frames = Math.trunc((event.clientX - held.x) / FRAME_PX);
    const to = (Math.round(held.at / each) + frames) * each;
    if (frames && Math.abs(to - view.main.at) > each / 2) view.show(to);
  });
  const gone = () => {
    held = null;
  };
  picture.addEventListener("pointerup", gone);
  picture.addEventListener("pointercancel", gone);
}

/** Another swing is chosen: its marks into the forms, its top on the screen. @param {FilmView} view */
function choose(view) {
  const number = String(view.number);
  for (const form of all(view.film, "form[data-action]", HTMLFormElement))
    form.action = filled(form.dataset.action || "", { number });
  for (const form of all(view.film, "form[data-told]", HTMLFormElement)) {
    const told = JSON.parse(form.dataset.told || "{}")[number] || {};
    for (const hidden of all(form, "input[type=hidden]", HTMLInputElement))
      hidden.value = [told[hidden.name] ?? ""].flat().join(",");
  }
  const top = view.main.swing(view.number)?.t_top_s;
  if (top !== undefined && top !== null) view.show(top);
  if (view.beside) view.lay();
}

/** @param {FilmView} view */
function swings(view) {
  for (const jump of all(view.film, "[data-jump]", HTMLButtonElement))
    jump.addEventListener("click", () => {
      const swing = view.main.swing(view.number);
      const at = swing && swing[/** @type {"t_top_s"} */ (jump.dataset.jump)];
      view.stop();
      if (at !== undefined && at !== null) view.show(at);
    });
  const choice = document.getElementById("film-swing");
  if (choice) {
    choice.addEventListener("change", () => choose(view));
    choose(view);
  } else view.show(0);
  document.getElementById("film-over")?.addEventListener("change", () => view.lay());
  document.getElementById("film-beside")?.addEventListener("change", () => view.lay());
  document.getElementById("film-strip-show")?.addEventListener("click", () => view.strip());
  document.getElementById("film-send")?.addEventListener("submit", (event) => {
    event.preventDefault();
    view.send();
  });
}

/** The forms take the instant on the screen. @param {FilmView} view */
function marks(view) {
  for (const mark of all(view.film, "[data-mark-here]", HTMLButtonElement))
    mark.addEventListener("click", () => {
      if (mark.form) field(mark.form, mark.dataset.markHere || "").value = view.main.at.toFixed(4);
    });
  for (const set of all(view.film, "[data-set-here]", HTMLButtonElement))
    set.addEventListener("click", () => {
      input(set.dataset.setHere || "").value = view.main.at.toFixed(3);
    });
  for (const form of all(view.film, "form[data-at-here]", HTMLFormElement))
    form.addEventListener("submit", () => {
      field(form, "at_s").value = view.main.at.toFixed(3);
    });
}

const film = document.getElementById("film");
if (film) {
  const view = new FilmView(film);
  await view.main.load();
  for (const part of [steps, keys, hand, swings, marks]) part(view);
  film.classList.add("ready");
}

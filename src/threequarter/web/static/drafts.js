// What is typed in a test stays on this device until it is scored, also when the page is closed or the signal is gone.
import { LANGUAGE } from "./page.js";
import { makeSay } from "./texts.js";

/** @param {HTMLInputElement} field */
const ended = (field) => Number(field.value.trim().replace(",", "."));

/**
 * The mean score of what is typed so far, in words.
 * @param {HTMLFormElement} form
 * @param {HTMLElement} line
 */
function count(form, line) {
  const fields = /** @type {HTMLInputElement[]} */ ([...form.querySelectorAll("input[data-called]")]);
  const scores = fields
    .filter((field) => ended(field) > 0)
    .map((field) => Math.abs(ended(field) - Number(field.dataset.called)) / Number(field.dataset.miss));
  const mean = scores.reduce((a, b) => a + b, 0) / scores.length;
  const digits = { minimumFractionDigits: 2, maximumFractionDigits: 2 };
  const score = mean.toLocaleString(line.dataset.locale, digits);
  const text = (scores.length === 1 ? line.dataset.saysOne : line.dataset.saysMany) || "";
  line.textContent = scores.length ? makeSay({ text }, LANGUAGE)("text", { score, count: scores.length }) : "";
}

/** @param {HTMLFormElement} form */
function keep(form) {
  const key = form.dataset.draft || "";
  const kept = Object.entries(JSON.parse(localStorage.getItem(key) || "{}"));
  for (const [name, value] of kept) {
    const field = form.elements.namedItem(name);
    if (field instanceof HTMLInputElement && !field.value) field.value = String(value);
  }
  form.addEventListener("input", () => {
    const fields = /** @type {HTMLInputElement[]} */ ([...form.querySelectorAll("input:not([type=hidden])")]);
    const typed = fields.filter((field) => field.value).map((field) => [field.name, field.value]);
    localStorage.setItem(key, JSON.stringify(Object.fromEntries(typed)));
  });
  form.addEventListener("submit", () => localStorage.removeItem(key));
}

const form = document.querySelector("form[data-draft]");
if (form instanceof HTMLFormElement) {
  try {
    keep(form);
  } catch {
    /* a browser without storage: the form works all the same */
  }
  const line = document.getElementById("local-score");
  if (line) {
    form.addEventListener("input", () => count(form, line));
    count(form, line);
  }
}

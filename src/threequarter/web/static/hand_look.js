// Which thumb types, and how bright it is: kept on this phone only.
import { recall, remember } from "./page.js";

/** @type {Record<string, string>} */
const THEMES = { sun: "light", night: "dark" };

/** @type {Record<string, (value: string) => void>} */
const apply = {
  hand: (value) => {
    document.body.classList.toggle("left-hand", value === "left");
  },
  look: (value) => {
    const root = document.documentElement;
    root.dataset.look = value;
    if (THEMES[value]) root.dataset.theme = THEMES[value];
    else delete root.dataset.theme;
  },
};

for (const [name, act] of Object.entries(apply)) {
  const chosen = document.querySelector(`input[name="${name}"][value="${CSS.escape(recall(name))}"]`);
  if (chosen instanceof HTMLInputElement) chosen.checked = true;
  if (recall(name)) act(recall(name));
  for (const one of document.querySelectorAll(`input[name="${name}"]`)) {
    one.addEventListener("change", () => {
      const { value } = /** @type {HTMLInputElement} */ (one);
      act(value);
      remember(name, value);
    });
  }
}

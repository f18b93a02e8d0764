// Which thumb types, and how bright it is: kept on this phone only.
(() => {
  const THEMES = { sun: "light", night: "dark" };
  const apply = { hand: (value) => document.body.classList.toggle("left-hand", value === "left"),
    look: (value) => {
      const root = document.documentElement;
      root.dataset.look = value;
      if (THEMES[value]) root.dataset.theme = THEMES[value]; else delete root.dataset.theme;
    } };
  const remembered = (name) => { try { return localStorage.getItem(name); } catch { return null; } };
  for (const name of Object.keys(apply)) {
    const chosen = document.querySelector(`input[name="${name}"][value="${CSS.escape(remembered(name) || "")}"]`);
    if (chosen) { chosen.checked = true; apply[name](chosen.value); }
    for (const input of document.querySelectorAll(`input[name="${name}"]`)) input.addEventListener("change", () => {
      apply[name](input.value);
      try { localStorage.setItem(name, input.value); } catch { /* it holds until the page closes */ }
    });
  }
})();

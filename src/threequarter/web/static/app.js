// Small helps for those with JavaScript; every page works without it. What is said stands in the page, in its language.
"use strict";
const filled = (text, values) => text.replace(/\{(\w+)\}/g, (_, name) => values[name]);
document.addEventListener("dragover", (event) => event.preventDefault());
document.addEventListener("drop", (event) => {
  const field = document.getElementById("file");
  if (!field || !event.dataTransfer.files.length) return;
  event.preventDefault();
  field.files = event.dataTransfer.files;
  field.form.requestSubmit();
});

// A clip goes up in parts, so that a lost connection costs one part; the page of a clip follows its analysis.
const PART = 4 * 1024 * 1024;
const clipForm = document.getElementById("clip-form");
if (clipForm) {
  let stopped = false;
  clipForm.addEventListener("submit", async (event) => {
    event.preventDefault();
    const file = document.getElementById("clip-file").files[0];
    const box = document.getElementById("clip-progress");
    const says = box.querySelector("p");
    const bar = box.querySelector("progress");
    const fields = new FormData(clipForm);
    fields.delete("file");
    fields.set("name", file.name);
    fields.set("size", String(file.size));
    fields.set("age_s", String(Math.max(0, Math.round((Date.now() - file.lastModified) / 1000))));
    stopped = false;
    box.hidden = false;
    const begun = await (await fetch("/clips/begin", { method: "POST", body: fields })).json();
    if (begun.error) { says.textContent = begun.error; return; }
    let at = begun.received;
    let misses = 0;
    while (at < file.size && !stopped) {
      try {
        const answer = await fetch(`/clips/${begun.id}/bytes?at=${at}`, { method: "PUT", body: file.slice(at, at + PART) });
        const told = await answer.json();
        if (told.error && told.received === null) { says.textContent = told.error; return; }
        at = told.received;
        misses = 0;
        bar.value = at / file.size;
        says.textContent = filled(box.dataset.saysAmount, { at: Math.round(at / 1048576), all: Math.round(file.size / 1048576) });
      } catch {
        misses += 1;
        says.textContent = box.dataset.saysAway;
        await new Promise((done) => setTimeout(done, Math.min(8000, 500 * 2 ** misses)));
      }
    }
    if (stopped) {
      await fetch(`/clips/${begun.id}/delete`, { method: "POST" });
      says.textContent = box.dataset.saysCancelled;
    } else {
      location.href = `/clips/${begun.id}`;
    }
  });
  document.getElementById("clip-cancel").addEventListener("click", () => { stopped = true; });
}
const clipState = document.querySelector("[data-clip]");
if (clipState) {
  const follow = async () => {
    try {
      const told = await (await fetch(`/clips/${clipState.dataset.clip}/state.json`)).json();
      if (told.state === "done" || told.state === "failed") { location.reload(); return; }
      clipState.textContent = told.says;
      document.querySelector("progress").value = told.progress;
    } catch { clipState.textContent = clipState.dataset.saysAway; }
    setTimeout(follow, 1500);
  };
  setTimeout(follow, 800);
}


if ("serviceWorker" in navigator && location.pathname.startsWith("/sessions/")) navigator.serviceWorker.register("/sw.js").catch(() => {});

// What is typed in a test stays on this device until it is scored, also when the page is closed or the signal is gone.
const draft = document.querySelector("form[data-draft]");
if (draft) {
  const key = draft.dataset.draft;
  try {
    for (const [name, value] of Object.entries(JSON.parse(localStorage.getItem(key) || "{}"))) {
      const field = draft.elements.namedItem(name);
      if (field && !field.value) field.value = value;
    }
    draft.addEventListener("input", () => {
      const typed = {};
      for (const field of draft.querySelectorAll("input:not([type=hidden])")) if (field.value) typed[field.name] = field.value;
      localStorage.setItem(key, JSON.stringify(typed));
    });
    const local = document.getElementById("local-score");
    const count = () => {
      const ended = (field) => Number(field.value.trim().replace(",", "."));
      const scores = [...draft.querySelectorAll("input[data-called]")].filter((f) => ended(f) > 0).map((f) => Math.abs(ended(f) - Number(f.dataset.called)) / Number(f.dataset.miss));
      if (!local) return;
      const mean = scores.reduce((a, b) => a + b, 0) / scores.length;
      const score = mean.toLocaleString(local.dataset.locale, { minimumFractionDigits: 2, maximumFractionDigits: 2 });
      local.textContent = scores.length ? filled(scores.length === 1 ? local.dataset.saysOne : local.dataset.saysMany, { score, count: scores.length }) : "";
    };
    draft.addEventListener("input", count);
    count();
    draft.addEventListener("submit", () => localStorage.removeItem(key));
  } catch { /* a browser without storage: the form works all the same */ }
}


// A tap on a swing's sheet marks a body point: which of the four pictures was tapped says whether at the top or the finish.
for (const form of document.querySelectorAll("form[data-mark]")) {
  const sheet = document.querySelector(`img[data-sheet="${form.dataset.mark}"]`);
  if (!sheet) continue;
  sheet.addEventListener("click", (event) => {
    const rect = sheet.getBoundingClientRect();
    const panel = Number(form.dataset.panel);
    const gap = Number(form.dataset.gap);
    const scale = (4 * panel + 5 * gap) / rect.width;
    const x = (event.clientX - rect.left) * scale;
    const y = (event.clientY - rect.top) * scale;
    const which = Math.floor((x - gap / 2) / (panel + gap));
    const end = { 1: "top", 3: "finish" }[which];
    if (!end) return;
    const left = gap + which * (panel + gap);
    const px = Number(form.dataset.x) + (x - left) / Number(form.dataset.scale);
    const py = Number(form.dataset.y) + (y - Number(form.dataset.top)) / Number(form.dataset.scale);
    const point = form.querySelector(".point");
    const name = `${point.value}_${end}`;
    form.elements.namedItem(name).value = `${px.toFixed(1)},${py.toFixed(1)}`;
    form.closest("details").open = true;
    const said = end === "top" ? point.dataset.saysTop : point.dataset.saysFinish;
    form.querySelector(".tapped").textContent = `${point.selectedOptions[0].text} ${said}`;
  });
}

// Two taps on a button that makes something make it once.
for (const form of document.querySelectorAll("form[data-once]")) form.addEventListener("submit", (event) => {
  if (form.dataset.sent) event.preventDefault();
  form.dataset.sent = "yes";
  setTimeout(() => { delete form.dataset.sent; }, 4000);
});

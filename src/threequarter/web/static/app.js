// Small helps for those with JavaScript; every page works without it. What is said stands in the page, in its language.
import "./clips.js";
import "./drafts.js";
import "./swing_marks.js";
import "./unsent.js";

const ONCE_MS = 4000;

// A file dropped anywhere is a file chosen.
document.addEventListener("dragover", (event) => event.preventDefault());
document.addEventListener("drop", (event) => {
  const field = document.getElementById("file");
  const files = event.dataTransfer?.files;
  if (!(field instanceof HTMLInputElement) || !files?.length) return;
  event.preventDefault();
  field.files = files;
  field.form?.requestSubmit();
});

// Two taps on a button that makes something make it once.
for (const form of document.querySelectorAll("form[data-once]")) {
  const told = /** @type {HTMLFormElement} */ (form).dataset;
  form.addEventListener("submit", (event) => {
    if (told.sent) event.preventDefault();
    told.sent = "yes";
    setTimeout(() => delete told.sent, ONCE_MS);
  });
}

if (location.pathname.startsWith("/sessions/")) navigator.serviceWorker?.register("/sw.js").catch(() => {});

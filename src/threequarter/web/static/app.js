// Small helps for those with JavaScript; every page works without it. What is said stands in the page, in its language.
import "./clips.js";
import "./drafts.js";
import "./swing_marks.js";
import "./unsent.js";

const ONCE_MS = 4000;

/**
 * Brings in what was dropped on a page without a field for it; only where Bring in is one of the places.
 * @param {FileList} files
 */
function bringIn(files) {
  const lesson = document.querySelector("form[data-drop-table]");
  const film = [...files].some((file) => file.type.startsWith("video/"));
  if (lesson instanceof HTMLFormElement && !film) {
    const field = /** @type {HTMLInputElement} */ (lesson.elements.namedItem("file"));
    field.files = files;
    lesson.requestSubmit(); // the balls join the day that runs
    return;
  }
  if (!document.querySelector('.places a[href="/bring-in"]')) return;
  if (film) {
    const own = document.querySelector("[data-drop-clip]");
    location.href = (own instanceof HTMLElement && own.dataset.dropClip) || "/clips/new"; // it needs its questions answered first
    return;
  }
  const form = document.createElement("form");
  Object.assign(form, { method: "post", action: "/look", enctype: "multipart/form-data", hidden: true });
  const field = document.createElement("input");
  Object.assign(field, { type: "file", name: "file", multiple: true, files });
  form.append(field);
  document.body.append(form);
  form.submit();
}

// A file dropped anywhere is a file chosen; one dropped on a field of its own stays there.
document.addEventListener("dragover", (event) => event.preventDefault());
document.addEventListener("drop", (event) => {
  const field = document.getElementById("file");
  const files = event.dataTransfer?.files;
  if (!files?.length) return;
  if (field instanceof HTMLInputElement) {
    event.preventDefault();
    field.files = files;
    field.form?.requestSubmit();
  } else if (!(event.target instanceof HTMLInputElement && event.target.type === "file")) {
    event.preventDefault();
    bringIn(files);
  }
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

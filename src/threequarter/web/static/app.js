// Small helps for those with JavaScript; every page works without it. What is said stands in the page, in its language.
import { readyClipForm } from "./clips.js";
import "./drafts.js";
import "./swing_marks.js";
import "./unsent.js";

const ONCE_MS = 4000;

/**
 * Opens the page of a new clip with the clip already chosen: what it asks is answered there.
 * @param {File} clip
 * @param {string} address
 */
async function film(clip, address) {
  await window.htmx.ajax("GET", address, { target: "#main", select: "#main", swap: "outerHTML show:window:top" });
  history.pushState({}, "", address);
  readyClipForm();
  const field = document.getElementById("clip-file");
  if (!(field instanceof HTMLInputElement)) return;
  const held = new DataTransfer();
  held.items.add(clip);
  field.files = held.files;
  field.dispatchEvent(new Event("change", { bubbles: true }));
}

/**
 * Brings in what was dropped on a page without a field for it; only where Bring in is one of the places.
 * @param {FileList} files
 */
function bringIn(files) {
  const lesson = document.querySelector("form[data-drop-table]");
  const clip = [...files].find((file) => file.type.startsWith("video/"));
  if (lesson instanceof HTMLFormElement && !clip) {
    const field = /** @type {HTMLInputElement} */ (lesson.elements.namedItem("file"));
    field.files = files;
    lesson.requestSubmit(); // the balls join the day that runs
    return;
  }
  if (!document.querySelector('.places a[href="/bring-in"]')) return;
  if (clip) {
    const own = document.querySelector("[data-drop-clip]");
    film(clip, (own instanceof HTMLElement && own.dataset.dropClip) || "/clips/new");
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

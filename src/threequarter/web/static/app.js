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
  if (!document.querySelector('.places a[href="/bring-in"]')) return;
  if ([...files].some((file) => file.type.startsWith("video/"))) {
    location.href = "/bring-in"; // a clip needs its questions answered first
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

// Files on their way up: how far they are, a way to stop, and what is too large said before it is sent. Works without it too.
"use strict";
const look = document.getElementById("look");
if (look) {
  const box = document.getElementById("look-progress");
  const bar = box.querySelector("progress");
  const says = box.querySelector("p");
  const MB = 1048576;
  const put = (text, values) => text.replace(/\{(\w+)\}/g, (whole, name) => values[name] ?? whole);
  const megabytes = (bytes) => (bytes / MB).toLocaleString(document.documentElement.lang, { minimumFractionDigits: 1, maximumFractionDigits: 1 });
  let sending = null;
  look.addEventListener("submit", (event) => {
    const files = [...look.elements.file.files];
    const size = files.reduce((sum, file) => sum + file.size, 0);
    const most = Number(look.dataset.most);
    if (size > most * MB) {
      event.preventDefault();
      box.hidden = false;
      bar.hidden = true;
      box.querySelector("button").hidden = true;
      says.textContent = put(look.dataset.tooLarge, { size: Math.ceil(size / MB), most });
      return;
    }
    if (size < MB / 2) return; // small files go the plain way
    event.preventDefault();
    box.hidden = false;
    bar.hidden = false;
    box.querySelector("button").hidden = false;
    sending = new XMLHttpRequest();
    sending.upload.addEventListener("progress", (at) => {
      bar.value = at.loaded / at.total;
      says.textContent = at.loaded < at.total ? put(look.dataset.sending, { done: megabytes(at.loaded), size: megabytes(at.total) }) : look.dataset.reading;
      if (at.loaded >= at.total) bar.removeAttribute("value");
    });
    sending.addEventListener("load", () => {
      if (sending.status < 400 || sending.responseURL.includes("/look")) location.href = sending.responseURL;
      else says.textContent = sending.responseText.startsWith("<") ? look.dataset.lost : sending.responseText;
    });
    sending.addEventListener("error", () => { says.textContent = look.dataset.lost; });
    sending.open("POST", look.action);
    sending.send(new FormData(look));
  });
  box.querySelector("button").addEventListener("click", () => { if (sending) sending.abort(); box.hidden = true; });
}

// Small helps for those with JavaScript; every page works without it.
"use strict";
document.addEventListener("dragover", (event) => event.preventDefault());
document.addEventListener("drop", (event) => {
  const field = document.getElementById("file");
  if (!field || !event.dataTransfer.files.length) return;
  event.preventDefault();
  field.files = event.dataTransfer.files;
  field.form.requestSubmit();
});

// The lesson: its clock goes on, and a line says when there is something new to show. Nothing moves by itself.
"use strict";
const lessonClock = document.querySelector("[data-lesson-clock]");
if (lessonClock) {
  const began = Date.parse(lessonClock.dataset.lessonClock);
  const tick = () => {
    const minutes = Math.max(0, Math.floor((Date.now() - began) / 60000));
    lessonClock.textContent = lessonClock.dataset.says.replace("{minutes}", minutes).replace("{whole}", lessonClock.dataset.whole);
  };
  setInterval(tick, 20000);
}
const lessonNews = document.querySelector("[data-lesson-news]");
if (lessonNews) {
  const look = async () => {
    try {
      const told = await (await fetch(lessonNews.dataset.lessonNews)).json();
      if (told.token && told.token !== lessonNews.dataset.token) lessonNews.hidden = false;
    } catch { /* no signal: the page stays as it is */ }
    setTimeout(look, 8000);
  };
  setTimeout(look, 8000);
}

// The film of a clip as the place to look: picture by picture, the arm drawn in, marks under the thumb, a strip of pictures, and two
// swings side by side, locked at the ball. Everything is drawn on a canvas, so a film that lies on its side stands upright.

import { Screen } from "./film_screen.js";

const film = document.getElementById("film");
if (film) {
  const STRIP = 8;
  const A_PICTURE_PX = 14; // of the thumb
  const filled = (text, values) => text.replace(/\{(\w+)\}/g, (whole, name) => values[name] ?? whole);
  const by = (id) => document.getElementById(id);
  let beside = null,
    lock = null,
    playing = 0;
  const over = () => beside && by("film-over").checked;
  const look = () => ({
    film: !by("film-bare").checked,
    lines: by("film-lines").checked,
    levels: JSON.parse(film.dataset.levels),
    over: over() ? beside.body(beside.at) : null,
  });
  const cannot = () => film.classList.add("unplayable");
  const main = new Screen(by("film-picture"), Number(film.dataset.film), look, cannot);
  const slider = by("film-at"),
    says = by("film-says");

  const say = () => {
    slider.value = String(main.at);
    says.textContent = filled(says.dataset.says, {
      at: main.at.toLocaleString(says.dataset.locale, { minimumFractionDigits: 3, maximumFractionDigits: 3 }),
    });
    for (const field of document.querySelectorAll("[data-film-time]")) field.value = main.at.toFixed(4);
  };

  const show = async (time) => {
    const done = main.go(time);
    if (beside && lock) {
      await beside.go(lock.theirs + ((main.at - lock.ours) / main.told.slower) * beside.told.slower);
      main.draw();
    }
    say();
    await done;
  };

  const step = (pictures) => show(Math.round(main.at / main.told.frame_s + pictures) * main.told.frame_s);

  const stop = () => {
    clearTimeout(playing);
    playing = 0;
    by("film-play").setAttribute("aria-pressed", "false");
  };
  const play = () => {
    if (playing) {
      stop();
      return;
    }
    by("film-play").setAttribute("aria-pressed", "true");
    const next = async () => {
      if (main.at >= main.length - main.told.frame_s) {
        stop();
        return;
      }
      const before = performance.now();
      await step(1);
      const wait = (main.told.frame_s * 1000) / Number(by("film-speed").value) - (performance.now() - before);
      if (playing) playing = setTimeout(next, Math.max(0, wait));
    };
    playing = setTimeout(next, 0);
  };

  const number = () => Number(by("film-swing").value);

  // Pictures at equal steps of the arm: back, down and through.
  const strip = async () => {
    const box = by("film-strip");
    const times = main.steps(number(), STRIP);
    box.replaceChildren();
    const kept = main.at;
    for (const time of times) {
      await show(time);
      const button = Object.assign(document.createElement("button"), { type: "button", className: "outline" });
      const small = document.createElement("canvas");
      main.draw(small, 150);
      button.append(small);
      button.setAttribute("aria-label", filled(box.dataset.says, { at: time.toFixed(2) }));
      button.addEventListener("click", () => show(time));
      box.append(button);
    }
    await show(kept);
  };

  const lay = async () => {
    const chosen = by("film-beside").value;
    beside = lock = null;
    by("film-other").hidden = !chosen || by("film-over").checked;
    film.classList.toggle("two", Boolean(chosen) && !by("film-over").checked);
    if (!chosen) {
      main.draw();
      return;
    }
    const [clip, other] = chosen.split("-").map(Number);
    const screen = await new Screen(by("film-other"), clip, () => ({ ...look(), over: null }), cannot).load();
    const theirs = screen.swing(other),
      ours = main.swing(number());
    if (!theirs || !ours) return;
    [beside, lock] = [screen, { ours: ours.t_impact_s, theirs: theirs.t_impact_s }];
    await show(main.at);
  };

  // One picture to send: the strip with the swing's words below, by the browser's own way to share, else as a file.
  const send = async () => {
    const form = by("film-send");
    const words = form.querySelector(`[data-words="${number()}"]`)?.textContent.trim() ?? "";
    const wide = 190,
      gap = 8;
    const kept = main.at;
    const small = [];
    for (const time of main.steps(number(), STRIP)) {
      await show(time);
      const one = document.createElement("canvas");
      main.draw(one, wide);
      small.push(one);
    }
    await show(kept);
    if (!small.length) return;
    const sheet = document.createElement("canvas");
    const columns = STRIP / 2;
    const row = small[0].height + gap;
    sheet.width = columns * (wide + gap) + gap;
    sheet.height = 2 * row + gap + 60;
    const pen = sheet.getContext("2d");
    pen.fillStyle = "#fffdf7";
    pen.fillRect(0, 0, sheet.width, sheet.height);
    small.forEach((one, n) => {
      pen.drawImage(one, gap + (n % columns) * (wide + gap), gap + Math.floor(n / columns) * row);
    });
    pen.fillStyle = "#14130f";
    pen.font = "17px sans-serif";
    pen.fillText(words, gap, 2 * row + gap + 36, sheet.width - 2 * gap);
    const blob = await new Promise((done) => sheet.toBlob(done, "image/png"));
    const file = new File([blob], form.dataset.name, { type: "image/png" });
    if (navigator.canShare?.({ files: [file] })) await navigator.share({ files: [file] }).catch(() => {});
    else {
      const link = Object.assign(document.createElement("a"), { download: file.name, href: URL.createObjectURL(file) });
      link.click();
      URL.revokeObjectURL(link.href);
    }
  };

  main.load().then(() => {
    slider.max = String(main.length);
    slider.step = String(main.told.frame_s);
    slider.addEventListener("input", () => {
      stop();
      show(Number(slider.value));
    });
    by("film-back").addEventListener("click", () => {
      stop();
      step(-1);
    });
    by("film-on").addEventListener("click", () => {
      stop();
      step(1);
    });
    by("film-play").addEventListener("click", play);
    for (const box of ["film-lines", "film-bare"])
      by(box).addEventListener("change", () => {
        main.draw();
        if (beside) beside.draw();
        for (const consent of film.querySelectorAll("[data-consent]"))
          consent.hidden = consent.querySelector("input").disabled = by("film-bare").checked;
      });
    film.addEventListener("keydown", (event) => {
      const pictures = { ArrowLeft: -1, ArrowRight: 1, PageUp: -10, PageDown: 10 }[event.key];
      if (event.target.matches("select, input:not([type=range])")) return;
      if (pictures) {
        event.preventDefault();
        stop();
        step(event.shiftKey ? 10 * pictures : pictures);
      }
      if (event.key === " " && event.target === by("film-picture")) {
        event.preventDefault();
        play();
      }
    });
    by("film-picture").addEventListener(
      "wheel",
      (event) => {
        event.preventDefault();
        stop();
        step(event.deltaY > 0 ? 1 : -1);
      },
      { passive: false },
    );
    // the thumb on the picture: to the right is on
    let held = null;
    by("film-picture").addEventListener("pointerdown", (event) => {
      stop();
      held = { x: event.clientX, at: main.at };
      event.target.setPointerCapture(event.pointerId);
    });
    by("film-picture").addEventListener("pointermove", (event) => {
      if (!held) return;
      const pictures = Math.trunc((event.clientX - held.x) / A_PICTURE_PX);
      const to = (Math.round(held.at / main.told.frame_s) + pictures) * main.told.frame_s;
      if (pictures && Math.abs(to - main.at) > main.told.frame_s / 2) show(to);
    });
    for (const end of ["pointerup", "pointercancel"])
      by("film-picture").addEventListener(end, () => {
        held = null;
      });
    for (const jump of film.querySelectorAll("[data-jump]")) {
      jump.addEventListener("click", () => {
        const at = main.swing(number())?.[jump.dataset.jump];
        stop();
        if (at != null) show(at);
      });
    }
    const choice = by("film-swing");
    const choose = () => {
      for (const form of film.querySelectorAll("form[data-action]"))
        form.action = filled(form.dataset.action, { number: choice.value });
      for (const form of film.querySelectorAll("form[data-told]")) {
        const told = JSON.parse(form.dataset.told)[choice.value] || {};
        for (const field of form.querySelectorAll("input[type=hidden]"))
          field.value = [told[field.name] ?? ""].flat().join(",");
      }
      const top = main.swing(number())?.t_top_s;
      if (top != null) show(top);
      if (beside) lay();
    };
    if (choice) {
      choice.addEventListener("change", choose);
      choose();
    } else show(0);
    for (const mark of film.querySelectorAll("[data-mark-here]")) {
      mark.addEventListener("click", () => {
        mark.form.elements.namedItem(mark.dataset.markHere).value = main.at.toFixed(4);
      });
    }
    for (const set of film.querySelectorAll("[data-set-here]")) {
      set.addEventListener("click", () => {
        by(set.dataset.setHere).value = main.at.toFixed(3);
      });
    }
    for (const form of film.querySelectorAll("form[data-at-here]"))
      form.addEventListener("submit", () => {
        form.elements.namedItem("at_s").value = main.at.toFixed(3);
      });
    by("film-over")?.addEventListener("change", lay);
    by("film-send")?.addEventListener("submit", (event) => {
      event.preventDefault();
      send();
    });
    by("film-strip-show")?.addEventListener("click", strip);
    by("film-beside")?.addEventListener("change", lay);
    film.classList.add("ready");
  });
}

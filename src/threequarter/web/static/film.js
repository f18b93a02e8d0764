// The film of a clip as the place to look: picture by picture, the arm drawn in, marks under the thumb, a strip of pictures, and two
// swings side by side, locked at the ball. Everything is drawn on a canvas, so a film that lies on its side stands upright.

const film = document.getElementById("film");
if (film) {
  const INK = "#0b4f3c",
    PAPER = "#fffdf7";
  const STRIP = 8;
  const filled = (text, values) => text.replace(/\{(\w+)\}/g, (whole, name) => values[name] ?? whole);

  // One film on one canvas.
  class Screen {
    constructor(canvas, clip) {
      this.canvas = canvas;
      this.clip = clip;
      this.video = Object.assign(document.createElement("video"), {
        muted: true,
        playsInline: true,
        preload: "auto",
        src: `/clips/${clip}/film`,
      });
      this.told = null;
      this.at = 0;
      this.video.addEventListener("seeked", () => this.draw());
      this.video.addEventListener("loadeddata", () => this.draw());
      this.video.addEventListener("error", () => film.classList.add("unplayable"));
    }

    async load() {
      const answer = await fetch(`/clips/${this.clip}/points.json`);
      this.told = answer.ok
        ? await answer.json()
        : { turned: 0, frame_s: 1 / 30, slower: 1, stretches: [], curves: [], swings: [] };
      if (this.video.readyState < 1)
        await new Promise((done) => {
          this.video.addEventListener("loadedmetadata", done, { once: true });
          this.video.addEventListener("error", done, { once: true });
        });
      return this;
    }

    get length() {
      return Number.isFinite(this.video.duration) ? this.video.duration : 0;
    }

    go(time) {
      this.at = Math.max(0, Math.min(this.length, time));
      // the middle of a picture's time: its edge may show the one before
      this.video.currentTime = Math.min(this.length, this.at + 0.3 * this.told.frame_s);
      return new Promise((done) => {
        this.video.addEventListener("seeked", done, { once: true });
        setTimeout(done, 1500);
      });
    }

    points(time) {
      for (const { time_s: t, points } of this.told.stretches) {
        if (time < t[0] - 0.05 || time > t[t.length - 1] + 0.05) continue;
        let best = 0;
        for (let k = 1; k < t.length; k += 1) if (Math.abs(t[k] - time) < Math.abs(t[best] - time)) best = k;
        return points[best];
      }
      return null;
    }

    draw(canvas = this.canvas, width = 0) {
      const { video } = this;
      if (!video.videoWidth) return;
      const turned = this.told ? this.told.turned : 0;
      const upright = turned % 2 ? [video.videoHeight, video.videoWidth] : [video.videoWidth, video.videoHeight];
      const scale = (width || Math.min(upright[0], 720)) / upright[0];
      canvas.width = Math.round(upright[0] * scale);
      canvas.height = Math.round(upright[1] * scale);
      const pen = canvas.getContext("2d");
      pen.save();
      pen.translate(canvas.width / 2, canvas.height / 2);
      pen.rotate((-turned * Math.PI) / 2);
      pen.drawImage(
        video,
        (-video.videoWidth * scale) / 2,
        (-video.videoHeight * scale) / 2,
        video.videoWidth * scale,
        video.videoHeight * scale,
      );
      pen.restore();
      const found = document.getElementById("film-lines").checked && this.told && this.points(this.at);
      if (found) this.lines(pen, found, canvas.width, canvas.height);
    }

    lines(pen, [lx, ly, hx, hy, , sy, , py], width, height) {
      pen.lineCap = "round";
      const font = Math.max(11, width / 32);
      pen.font = `${font}px sans-serif`;
      for (const [name, share] of Object.entries(JSON.parse(film.dataset.levels))) {
        const y = (py + share * (sy - py)) * height;
        pen.setLineDash([6, 5]);
        this.stroke(pen, 0, y, width, y, 1.5);
        pen.setLineDash([]);
        pen.lineWidth = 3;
        pen.strokeStyle = PAPER;
        pen.strokeText(name, 5, y - 4);
        pen.fillStyle = "#14130f";
        pen.fillText(name, 5, y - 4);
      }
      this.stroke(pen, lx * width, ly * height, hx * width, hy * height, Math.max(3, width / 150));
    }

    stroke(pen, x1, y1, x2, y2, wide) {
      for (const [ink, more] of [
        [PAPER, 2.5],
        [INK, 0],
      ]) {
        pen.strokeStyle = ink;
        pen.lineWidth = wide + more;
        pen.beginPath();
        pen.moveTo(x1, y1);
        pen.lineTo(x2, y2);
        pen.stroke();
      }
    }

    swing(number) {
      return this.told.swings.find((one) => one.number === number);
    }
  }

  const by = (id) => document.getElementById(id);
  const main = new Screen(by("film-picture"), Number(film.dataset.film));
  let beside = null,
    lock = null,
    playing = 0;
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
    const done = [main.go(time)];
    if (beside && lock)
      done.push(beside.go(lock.theirs + ((main.at - lock.ours) / main.told.slower) * beside.told.slower));
    say();
    await Promise.all(done);
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
    const swing = main.swing(number());
    const curve = main.told.curves.find(
      ({ time_s: t }) => swing && t[0] <= swing.t_top_s && t[t.length - 1] >= swing.t_impact_s,
    );
    box.replaceChildren();
    if (!curve) return;
    const [from, to] = [
      swing.t_takeaway_s ?? curve.time_s[0],
      swing.t_finish_s ?? curve.time_s[curve.time_s.length - 1],
    ];
    const inside = curve.time_s.map((t, k) => [t, curve.arm_deg[k]]).filter(([t]) => t >= from && t <= to);
    let travelled = 0;
    const path = inside.map(([t, arm], k) => {
      travelled += k ? Math.abs(arm - inside[k - 1][1]) : 0;
      return [t, travelled];
    });
    const kept = main.at;
    for (let n = 0; n < STRIP; n += 1) {
      const [time] = path.find(([, way]) => way >= (travelled * n) / (STRIP - 1) - 1e-6) || path[path.length - 1];
      await main.go(time);
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
    by("film-other").hidden = !chosen;
    film.classList.toggle("two", Boolean(chosen));
    if (!chosen) return;
    const [clip, other] = chosen.split("-").map(Number);
    const screen = await new Screen(by("film-other"), clip).load();
    const theirs = screen.swing(other),
      ours = main.swing(number());
    if (!theirs || !ours) return;
    [beside, lock] = [screen, { ours: ours.t_impact_s, theirs: theirs.t_impact_s }];
    await show(main.at);
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
    by("film-lines").addEventListener("change", () => {
      main.draw();
      if (beside) beside.draw();
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
    by("film-strip-show")?.addEventListener("click", strip);
    by("film-beside")?.addEventListener("change", lay);
    film.classList.add("ready");
  });
}

// The models apart from the page: pictures in, body points out. A classic worker, since the runtime loads its parts as such.

(async () => {
  const [{ Nets }, { Watcher }] = await Promise.all([import("./nets.js"), import("./watcher.js")]);
  /** @type {InstanceType<typeof Nets>} */
  let nets;
  try {
    nets = await Nets.load();
  } catch (error) {
    postMessage({ what: "failed", why: String(error) });
    return;
  }
  const watcher = new Watcher(nets);
  const canvas = new OffscreenCanvas(1, 1);
  const pen = /** @type {OffscreenCanvasRenderingContext2D} */ (
    canvas.getContext("2d", { alpha: false, willReadFrequently: true })
  );
  const turn = new MessageChannel();
  const breathe = () => new Promise((done) => ((turn.port1.onmessage = done), turn.port2.postMessage(0)));
  let busy = false;

  const work = async () => {
    if (busy) return;
    busy = true;
    for (let next = watcher.next(); next; next = watcher.next()) {
      await watcher.look(next);
      const found = watcher.ended();
      if (found) postMessage({ what: "swing", size: [canvas.width, canvas.height], light: watcher.light, ...found });
      const row = watcher.rows.at(-1);
      postMessage({
        what: "state",
        at: next.at,
        light: watcher.light,
        player: Boolean(watcher.roi),
        points: watcher.roi && row ? row.body.points : null,
        size: [canvas.width, canvas.height],
      });
      await breathe(); // pictures that came meanwhile
    }
    busy = false;
  };

  const acts = {
    /** @param {{ at: number, image: ImageBitmap }} told */
    frame({ at, image }) {
      if (canvas.width !== image.width || canvas.height !== image.height)
        [canvas.width, canvas.height] = [image.width, image.height];
      pen.drawImage(image, 0, 0);
      image.close();
      watcher.take(at, pen.getImageData(0, 0, canvas.width, canvas.height));
      work();
    },
    /**
     * What the models say of one picture, for comparing.
     * @param {{ picture: import("./pose.js").Picture, mirrored: boolean }} told
     */
    async picture({ picture, mirrored }) {
      const found = await nets.people(picture);
      const roi = found[0]?.roi;
      postMessage({ what: "picture", people: found, body: roi ? await nets.body(picture, roi, mirrored) : null });
    },
  };
  addEventListener("message", (event) => acts[/** @type {keyof typeof acts} */ (event.data.what)](event.data));
  postMessage({ what: "ready" });
})();

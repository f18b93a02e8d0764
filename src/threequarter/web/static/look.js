// Files on their way up: how far they are, a way to stop, and what is too large said before it is sent. Works without it too.
import { element, LANGUAGE } from "./page.js";
import { makeSay } from "./texts.js";

const MB = 1048576;
const TENTHS = { minimumFractionDigits: 1, maximumFractionDigits: 1 };

/** @param {number} bytes */
const megabytes = (bytes) => (bytes / MB).toLocaleString(LANGUAGE, TENTHS);

class Sending {
  /** @type {XMLHttpRequest | null} */
  #request = null;

  /** @param {HTMLFormElement} form */
  constructor(form) {
    this.form = form;
    this.say = makeSay(/** @type {Record<string, string>} */ ({ ...form.dataset }), LANGUAGE);
    this.box = element("look-progress");
    this.bar = /** @type {HTMLProgressElement} */ (this.box.querySelector("progress"));
    this.stop = /** @type {HTMLButtonElement} */ (this.box.querySelector("button"));
    this.stop.addEventListener("click", () => {
      this.#request?.abort();
      this.box.hidden = true;
    });
  }

  /**
   * @param {string} text
   * @param {boolean} moving
   */
  #tell(text, moving) {
    this.box.hidden = false;
    this.bar.hidden = this.stop.hidden = !moving;
    const says = this.box.querySelector("p");
    if (says) says.textContent = text;
  }

  /** @param {SubmitEvent} event */
  submit(event) {
    const field = /** @type {HTMLInputElement} */ (this.form.elements.namedItem("file"));
    const size = [...(field.files || [])].reduce((sum, file) => sum + file.size, 0);
    const most = Number(this.form.dataset.most);
    if (size < MB / 2) return; // small files go the plain way
    event.preventDefault();
    if (size > most * MB) this.#tell(this.say("tooLarge", { size: Math.ceil(size / MB), most }), false);
    else this.#send();
  }

  #send() {
    this.#tell("", true);
    const request = new XMLHttpRequest();
    this.#request = request;
    request.upload.addEventListener("progress", ({ loaded, total }) => {
      this.bar.value = loaded / total;
      const arrived = loaded >= total;
      const amounts = { done: megabytes(loaded), size: megabytes(total) };
      this.#tell(arrived ? this.say("reading") : this.say("sending", amounts), true);
      if (arrived) this.bar.removeAttribute("value");
    });
    request.addEventListener("load", () => {
      const plain = request.responseText.startsWith("<") ? this.say("lost") : request.responseText;
      if (request.status < 400 || request.responseURL.includes("/look")) location.href = request.responseURL;
      else this.#tell(plain, true);
    });
    request.addEventListener("error", () => this.#tell(this.say("lost"), true));
    request.open("POST", this.form.action);
    request.send(new FormData(this.form));
  }
}

const form = document.getElementById("look");
if (form instanceof HTMLFormElement) {
  const sending = new Sending(form);
  form.addEventListener("submit", (event) => sending.submit(event));
}

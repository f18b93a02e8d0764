// Passkeys: what the server asks goes to the browser, what the browser answers goes back; and links that are copied with one tap.
import { element, input } from "./page.js";

const PARTS = ["clientDataJSON", "attestationObject", "authenticatorData", "signature", "userHandle"];

/** @param {string} text base64url */
const bytes = (text) =>
  Uint8Array.from(atob(text.replace(/-/g, "+").replace(/_/g, "/")), (letter) => letter.charCodeAt(0));

/** @param {ArrayBuffer} buffer */
const base64url = (buffer) =>
  btoa(String.fromCharCode(...new Uint8Array(buffer)))
    .replace(/\+/g, "-")
    .replace(/\//g, "_")
    .replace(/=+$/, "");

/**
 * @param {string} address
 * @param {object} [body]
 */
async function post(address, body = {}) {
  const headers = { "content-type": "application/json", accept: "application/json" };
  const answer = await fetch(address, { method: "POST", headers, body: JSON.stringify(body) });
  const told = await answer.json();
  if (!answer.ok) throw new Error(told.detail || String(answer.status));
  return told;
}

/** @param {any} credential */
function plain(credential) {
  const { response } = credential;
  const parts = PARTS.filter((name) => response[name]).map((name) => [name, base64url(response[name])]);
  return {
    id: credential.id,
    rawId: base64url(credential.rawId),
    type: credential.type,
    clientExtensionResults: credential.getClientExtensionResults(),
    authenticatorAttachment: credential.authenticatorAttachment,
    response: Object.fromEntries(parts),
  };
}

async function signIn() {
  const asked = await post("/sign-in/passkey/begin");
  const publicKey = { ...asked, challenge: bytes(asked.challenge), allowCredentials: [] };
  const credential = await navigator.credentials.get({ publicKey });
  const back = encodeURIComponent(element("by-passkey").dataset.back || "");
  location.assign((await post(`/sign-in/passkey?back=${back}`, plain(credential))).to);
}

async function makePasskey() {
  if (!window.PublicKeyCredential) throw new Error("");
  const asked = await post("/account/passkeys/begin");
  const known = (asked.excludeCredentials || []).map((/** @type {any} */ one) => ({ ...one, id: bytes(one.id) }));
  const user = { ...asked.user, id: bytes(asked.user.id) };
  const publicKey = { ...asked, challenge: bytes(asked.challenge), user, excludeCredentials: known };
  const credential = await navigator.credentials.create({ publicKey });
  const name = encodeURIComponent(input("key-name").value);
  location.assign((await post(`/account/passkeys?name=${name}`, plain(credential))).to);
}

/**
 * @param {HTMLElement} form
 * @param {() => Promise<void>} act
 */
function onSubmit(form, act) {
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    try {
      await act();
    } catch (error) {
      const own = error instanceof Error && !(error instanceof DOMException) ? error.message : "";
      element("passkey-says").textContent = own || form.dataset.failed || "";
    }
  });
}

const byPasskey = document.getElementById("by-passkey");
if (byPasskey && window.PublicKeyCredential) {
  byPasskey.hidden = false;
  onSubmit(byPasskey, signIn);
}
const newPasskey = document.getElementById("new-passkey");
if (newPasskey) onSubmit(newPasskey, makePasskey);
const copy = document.getElementById("copy");
if (copy && navigator.clipboard) {
  copy.hidden = false;
  copy.addEventListener("click", async () => {
    await navigator.clipboard.writeText(input("link").value);
    element("copied").textContent = copy.dataset.done || "";
  });
}
const print = document.getElementById("print");
if (print) {
  print.hidden = false;
  print.addEventListener("click", () => window.print());
}
// Signed out: pages that were kept for work without a signal hold names, so they go. Balls that wait to be sent stay.
if (document.querySelector("form[action='/sign-in']") && window.caches) {
  caches.keys().then((names) => Promise.all(names.map((name) => caches.delete(name))));
}

// Passkeys: what the server asks goes to the browser, what the browser answers goes back; and links that are copied with one tap.
"use strict";
(() => {
  const bytes = (text) => Uint8Array.from(atob(text.replace(/-/g, "+").replace(/_/g, "/")), (c) => c.charCodeAt(0));
  const text = (buffer) => btoa(String.fromCharCode(...new Uint8Array(buffer))).replace(/\+/g, "-").replace(/\//g, "_").replace(/=+$/, "");
  const says = document.getElementById("passkey-says");
  async function post(address, body) {
    const answer = await fetch(address, { method: "POST", headers: { "content-type": "application/json", accept: "application/json" }, body: JSON.stringify(body || {}) });
    const told = await answer.json();
    if (!answer.ok) throw new Error(told.error || String(answer.status));
    return told;
  }
  const plain = (credential) => ({
    id: credential.id, rawId: text(credential.rawId), type: credential.type, clientExtensionResults: credential.getClientExtensionResults(), authenticatorAttachment: credential.authenticatorAttachment,
    response: Object.fromEntries(["clientDataJSON", "attestationObject", "authenticatorData", "signature", "userHandle"].filter((name) => credential.response[name]).map((name) => [name, text(credential.response[name])])),
  });
  const told = (error, form) => (error instanceof DOMException || !error.message ? form.dataset.failed : error.message);
  const signIn = document.getElementById("by-passkey");
  if (signIn && window.PublicKeyCredential) {
    signIn.hidden = false;
    signIn.addEventListener("submit", async (event) => {
      event.preventDefault();
      try {
        const asked = await post("/sign-in/passkey/begin");
        const credential = await navigator.credentials.get({ publicKey: { ...asked, challenge: bytes(asked.challenge), allowCredentials: [] } });
        location.assign((await post(`/sign-in/passkey?back=${encodeURIComponent(signIn.dataset.back)}`, plain(credential))).to);
      } catch (error) { says.textContent = told(error, signIn); }
    });
  }
  const made = document.getElementById("new-passkey");
  if (made) {
    made.addEventListener("submit", async (event) => {
      event.preventDefault();
      try {
        if (!window.PublicKeyCredential) throw new Error("");
        const asked = await post("/account/passkeys/begin");
        const credential = await navigator.credentials.create({ publicKey: {
          ...asked, challenge: bytes(asked.challenge), user: { ...asked.user, id: bytes(asked.user.id) },
          excludeCredentials: (asked.excludeCredentials || []).map((one) => ({ ...one, id: bytes(one.id) })),
        } });
        location.assign((await post(`/account/passkeys?name=${encodeURIComponent(document.getElementById("key-name").value)}`, plain(credential))).to);
      } catch (error) { says.textContent = told(error, made); }
    });
  }
  const copy = document.getElementById("copy");
  if (copy && navigator.clipboard) {
    copy.hidden = false;
    copy.addEventListener("click", async () => {
      await navigator.clipboard.writeText(document.getElementById("link").value);
      document.getElementById("copied").textContent = copy.dataset.done;
    });
  }
  const print = document.getElementById("print");
  if (print) {
    print.hidden = false;
    print.addEventListener("click", () => window.print());
  }
  // Signed out: pages that were kept for work without a signal hold names, so they go. Balls that wait to be sent stay.
  if (document.querySelector("form[action='/sign-in']") && window.caches) caches.keys().then((names) => Promise.all(names.map((name) => caches.delete(name))));
})();

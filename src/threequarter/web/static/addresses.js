// Where the pages of a phone are: under a server's own addresses, or files beside each other in a folder on any web host, which
// names them in its pages.

/** @type {Record<string, string> | null} */
const FILES = JSON.parse(globalThis.document?.documentElement.dataset.files || "null");

/** Whether there is no server of ours behind these pages: what is typed stays on this phone. */
export const ALONE = FILES !== null;

/** @param {string} path as a server knows it */
export const at = (path) => (FILES ? (FILES[path] ?? "./") : path);

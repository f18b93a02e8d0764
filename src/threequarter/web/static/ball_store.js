// The balls of this phone. A ball is in IndexedDB, on the disk, before anything says that it is kept.
import { modern, newKey } from "./balls.js";

/** @typedef {import("./balls.js").TypedBall} TypedBall */

/** @type {Map<string, TypedBall>} what the disk would not take */
const memory = new Map();
/** @type {any} */
let base = null;
let refusedOnce = false;

/** Opens the store; false where this browser has none. */
export async function open() {
  try {
    base = await globalThis.idb.openDB("threequarter", 1, {
      /** @param {any} made */
      upgrade(made) {
        made.createObjectStore("balls", { keyPath: "key" }).createIndex("session", "session");
      },
    });
  } catch {
    base = null;
  }
  return base !== null;
}

/**
 * Keeps balls; false where they are only in memory.
 * @param {...TypedBall} balls
 */
export async function put(...balls) {
  if (base) {
    try {
      const act = base.transaction("balls", "readwrite", { durability: "strict" });
      for (const ball of balls) act.store.put(ball);
      await act.done;
      for (const ball of balls) memory.delete(ball.key);
      return true;
    } catch {
      refusedOnce = true;
    }
  }
  for (const ball of balls) memory.set(ball.key, ball);
  return false;
}

/**
 * All balls, or those of a session, in the order typed.
 * @param {number} [session]
 * @returns {Promise<TypedBall[]>}
 */
export async function all(session) {
  let kept = [];
  if (base) {
    try {
      kept = await (session === undefined ? base.getAll("balls") : base.getAllFromIndex("balls", "session", session));
    } catch {
      refusedOnce = true;
    }
  }
  const held = [...memory.values()].filter((ball) => session === undefined || ball.session === session);
  const keys = new Set(held.map((ball) => ball.key));
  const found = [...kept.filter((/** @type {TypedBall} */ ball) => !keys.has(ball.key)), ...held].map(modern);
  return found.sort((a, b) => a.n - b.n || a.at - b.at);
}

/** @param {string} key */
export async function drop(key) {
  memory.delete(key);
  if (!base) return;
  try {
    await base.delete("balls", key);
  } catch {
    refusedOnce = true;
  }
}

/** What this phone calls itself, so that two phones at one mat are told apart. */
export function phone() {
  try {
    const known = localStorage.getItem("phone") || newKey();
    localStorage.setItem("phone", known);
    return known;
  } catch {
    return "";
  }
}

/** Whether the disk would not take a ball. */
export const refused = () => refusedOnce || (base === null && memory.size > 0);

export const works = () => base !== null;

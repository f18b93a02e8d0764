// Buckets that this phone began by itself, and how the keys of others were laid out: kept here, in a store of their own.

import { at } from "./addresses.js";

/** @typedef {{ id: number, key: string, player: string, unit: string, clubs: string[], swings: string[], at: number }} Bucket `id` is below 0 until a server has it */

/** @type {Promise<any> | null} */
let base = null;

function open() {
  base ||= globalThis.idb.openDB("threequarter-here", 1, {
    /** @param {any} made */
    upgrade(made) {
      made.createObjectStore("buckets", { keyPath: "id" });
    },
  });
  return base;
}

/** @param {Bucket} bucket */
export async function keepBucket(bucket) {
  const act = (await open()).transaction("buckets", "readwrite", { durability: "strict" });
  act.store.put(bucket);
  await act.done;
}

/**
 * @param {number} id
 * @returns {Promise<Bucket | undefined>}
 */
export const bucketOf = async (id) => (await open()).get("buckets", id);

/** All, the newest first. @returns {Promise<Bucket[]>} */
export async function buckets() {
  try {
    /** @type {Bucket[]} */
    const found = await (await open()).getAll("buckets");
    return found.sort((a, b) => b.at - a.at);
  } catch {
    return [];
  }
}

/** @param {number} id */
export const dropBucket = async (id) => (await open()).delete("buckets", id);

/** Where the keys of a bucket are. @param {Bucket} bucket */
export const placeOf = (bucket) => (bucket.id < 0 ? `${at("/bucket/here")}#${bucket.id}` : `/bucket/${bucket.id}`);

// Tests on this phone (called numbers, ladder, three in a row), ball by ball on its disk, in a store of their own.

/** @typedef {{ carry: number, shot: string, miss: number, half: number, ended: number | null }} Ball in the test's unit */
/**
 * @typedef {{ key: string, bucket: number, game: string, unit: string, at: number, row: number, usual: number, done: boolean,
 *   calls: Ball[] }} Test `bucket` is its number on this phone
 */

/** @type {Promise<any> | null} */
let base = null;

function open() {
  base ||= globalThis.idb.openDB("threequarter-tests", 1, {
    /** @param {any} made */
    upgrade(made) {
      made.createObjectStore("tests", { keyPath: "key" });
    },
  });
  return base;
}

/** Keeps a test as it stands; false where this browser will not. @param {Test} test */
export async function keepTest(test) {
  try {
    const act = (await open()).transaction("tests", "readwrite", { durability: "strict" });
    act.store.put(test);
    await act.done;
    return true;
  } catch {
    return false;
  }
}

/** All, the newest first; those of one bucket where it is named. @param {number} [bucket] @returns {Promise<Test[]>} */
export async function tests(bucket) {
  try {
    /** @type {Test[]} */
    const found = await (await open()).getAll("tests");
    return found.filter((one) => bucket === undefined || one.bucket === bucket).sort((a, b) => b.at - a.at);
  } catch {
    return [];
  }
}

/** @param {string} key */
export const dropTest = async (key) => (await open()).delete("tests", key);

// Tests on this phone (called numbers, ladder, three in a row), ball by ball on its disk, in a store of their own.

/** @typedef {{ carry: number, shot: string, miss: number, half: number, ended: number | null }} Ball in the test's unit */
/**
 * @typedef {{ key: string, bucket: number, game: string, unit: string, at: number, row: number, usual: number, done: boolean,
 *   calls: Ball[], rev?: number }} Test `bucket` is its number on this phone, `rev` how often its balls were kept
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

/**
 * Keeps the next state of a test, unless another tab went on with it meanwhile: then nothing of that is written over.
 * @param {Test} test its `rev` counts up when it is kept
 * @returns {Promise<"kept" | "refused" | "elsewhere">}
 */
export async function keepNext(test) {
  try {
    const act = (await open()).transaction("tests", "readwrite", { durability: "strict" });
    const rev = test.rev || 0;
    const found = await act.store.get(test.key);
    const same = !found || (found.rev || 0) === rev;
    if (same) act.store.put({ ...test, rev: rev + 1 });
    await act.done;
    if (same) test.rev = rev + 1;
    return same ? "kept" : "elsewhere";
  } catch {
    return "refused";
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

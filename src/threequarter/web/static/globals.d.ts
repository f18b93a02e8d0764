// What third-party scripts put on every page, and what the server writes into the service worker.
declare global {
  var idb: { openDB: (name: string, version: number, acts: object) => Promise<any> };
  var FILES_OF_THIS_VERSION: string[];
  var DIGESTS_OF_FILES: Record<string, string>;
  interface Window {
    htmx: { ajax: (method: string, address: string, options: object) => Promise<unknown> };
  }
}
export {};

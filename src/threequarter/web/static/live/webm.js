// Coded VP8 pictures as a WebM file (EBML: RFC 8794; Matroska: RFC 9559): one track, a cluster for each key picture, and where they lie
// told first, so that a player can step in it.

/** @typedef {{ at_us: number, key: boolean, data: Uint8Array }} Coded */

const ID = {
  EBML: 0x1a45dfa3,
  EBMLVersion: 0x4286,
  EBMLReadVersion: 0x42f7,
  EBMLMaxIDLength: 0x42f2,
  EBMLMaxSizeLength: 0x42f3,
  DocType: 0x4282,
  DocTypeVersion: 0x4287,
  DocTypeReadVersion: 0x4285,
  Segment: 0x18538067,
  Info: 0x1549a966,
  TimestampScale: 0x2ad7b1,
  Duration: 0x4489,
  MuxingApp: 0x4d80,
  WritingApp: 0x5741,
  Tracks: 0x1654ae6b,
  TrackEntry: 0xae,
  TrackNumber: 0xd7,
  TrackUID: 0x73c5,
  TrackType: 0x83,
  FlagLacing: 0x9c,
  CodecID: 0x86,
  Video: 0xe0,
  PixelWidth: 0xb0,
  PixelHeight: 0xba,
  Cues: 0x1c53bb6b,
  CuePoint: 0xbb,
  CueTime: 0xb3,
  CueTrackPositions: 0xb7,
  CueTrack: 0xf7,
  CueClusterPosition: 0xf1,
  Cluster: 0x1f43b675,
  Timestamp: 0xe7,
  SimpleBlock: 0xa3,
};
const KEY = 0x80;
const TRACK_1 = 0x81; // as a number of one byte
const TICK_NS = 1e6; // a millisecond
const NAME = "threequarter";

/** @param {Uint8Array[]} parts */
function joined(parts) {
  const out = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    out.set(part, at);
    at += part.length;
  }
  return out;
}

/**
 * A whole number, the highest byte first, in `length` bytes.
 * @param {number} value
 * @param {number} length
 */
function whole(value, length) {
  const out = new Uint8Array(length);
  for (let k = length - 1; k >= 0; k--, value = Math.floor(value / 256)) out[k] = value % 256;
  return out;
}

/** @param {number} id */
const idBytes = (id) => whole(id, Math.ceil(Math.log2(id + 1) / 8));

/**
 * An element: its id, the length of what is in it (always eight bytes), and that.
 * @param {keyof typeof ID} name
 * @param {Uint8Array[]} parts
 */
function box(name, ...parts) {
  const content = joined(parts);
  const length = whole(content.length, 8);
  length[0] = 1; // "eight bytes tell the length"
  return joined([idBytes(ID[name]), length, content]);
}

/**
 * @param {keyof typeof ID} name
 * @param {number} value
 */
const number = (name, value) => box(name, whole(value, 8));
/**
 * @param {keyof typeof ID} name
 * @param {string} value
 */
const words = (name, value) => box(name, new TextEncoder().encode(value));

/** @param {number} value */
function real(value) {
  const out = new Uint8Array(8);
  new DataView(out.buffer).setFloat64(0, value);
  return out;
}

/**
 * The file. The first picture must be a key picture; times are told to the millisecond from it on.
 * @param {Coded[]} pictures in order
 * @param {number} width
 * @param {number} height
 */
export function webm(pictures, width, height) {
  const ms = (/** @type {Coded} */ one) => Math.round((one.at_us - pictures[0].at_us) / 1000);
  /** @type {Coded[][]} */
  const groups = [];
  for (const one of pictures) {
    if (one.key) groups.push([]);
    groups.at(-1)?.push(one);
  }
  const clusters = groups.map((group) => {
    const begins = ms(group[0]);
    const blocks = group.map((one) =>
      box(
        "SimpleBlock",
        Uint8Array.of(TRACK_1, (ms(one) - begins) >> 8, (ms(one) - begins) & 255, one.key ? KEY : 0),
        one.data,
      ),
    );
    return box("Cluster", number("Timestamp", begins), ...blocks);
  });
  const last = ms(pictures[pictures.length - 1]);
  const length = last + last / Math.max(1, pictures.length - 1);
  const head = joined([
    box(
      "Info",
      number("TimestampScale", TICK_NS),
      box("Duration", real(length)),
      words("MuxingApp", NAME),
      words("WritingApp", NAME),
    ),
    box(
      "Tracks",
      box(
        "TrackEntry",
        number("TrackNumber", 1),
        number("TrackUID", 1),
        number("TrackType", 1),
        number("FlagLacing", 0),
        words("CodecID", "V_VP8"),
        box("Video", number("PixelWidth", width), number("PixelHeight", height)),
      ),
    ),
  ]);
  const cues = (/** @type {number} */ from) => {
    let at = from;
    const points = clusters.map((cluster, k) => {
      const place = box("CueTrackPositions", number("CueTrack", 1), number("CueClusterPosition", at));
      at += cluster.length;
      return box("CuePoint", number("CueTime", ms(groups[k][0])), place);
    });
    return box("Cues", ...points);
  };
  const told = cues(head.length + cues(0).length); // as long, wherever the clusters lie
  return joined([
    box(
      "EBML",
      number("EBMLVersion", 1),
      number("EBMLReadVersion", 1),
      number("EBMLMaxIDLength", 4),
      number("EBMLMaxSizeLength", 8),
      words("DocType", "webm"),
      number("DocTypeVersion", 4),
      number("DocTypeReadVersion", 2),
    ),
    box("Segment", head, told, ...clusters),
  ]);
}

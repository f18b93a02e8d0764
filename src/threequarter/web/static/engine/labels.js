// What the labels of clubs and swing lengths tell; the words and patterns are Python's.
import { K } from "./constants.js";

/** @typedef {{ label: string, kind: string | null, loft: number | null, prior: [number, number] }} ClubLabel */
/** @typedef {{ label: string, key: string, kind: string, reach: number | null }} SwingLength */

const LETTER = "[\\p{L}\\p{N}_]";
const EDGE = `(?:(?<!${LETTER})(?=${LETTER})|(?<=${LETTER})(?!${LETTER}))`;
/**
 * A pattern of Python's as one of a browser.
 * @param {string} pattern
 * @param {string} [flags]
 */
const made = (pattern, flags = "") =>
  new RegExp(pattern.replaceAll("(?P<", "(?<").replaceAll("\\b", EDGE), `u${flags}`);

const { club, swing_length: swing } = K;
const NO_WORD = made(club._NO_WORD, "g");
const BOUNCE = made(club._BOUNCE, "g");
const NUMBER = made(club._NUMBER, "g");
const [CLOCK, PREFIX, PARTS, PERCENT] = ["_CLOCK", "_PREFIX", "_PARTS", "_PERCENT"].map((name) => made(swing[name]));
const [JOIN, NOISE] = ["_JOIN", "_NOISE"].map((name) => made(swing[name], "g"));

/** @param {string} text */
const folded = (text) => text.normalize("NFKC").toLowerCase().replaceAll("ß", "ss").trim();
/** @param {string} text */
const words = (text) => text.split(/\s+/u).filter(Boolean);
/** A number as a key bears it. @param {number} x @param {number} [digits] */
const short = (x, digits = 6) => String(Number(x.toPrecision(digits)));

/**
 * @param {string} label
 * @returns {ClubLabel}
 */
export function parseClub(label) {
  const text = folded(label);
  const [kind, loft] = [kindOf(text), loftOf(text)];
  const prior = loft !== null ? [loft, 0] : kind ? club.LOFT_PRIOR_DEG[kind] : club.UNKNOWN_LOFT_DEG;
  return { label, kind, loft, prior };
}

/** @param {string} text */
function kindOf(text) {
  const parts = words(text.replace(NO_WORD, " "));
  const known = club._KIND_OF;
  const joined = parts.join("");
  if (Object.hasOwn(known, joined)) return known[joined];
  const kinds = new Set();
  for (const word of parts) {
    if (Object.hasOwn(known, word) && ([...word].length > 1 || parts.length === 1)) kinds.add(known[word]);
  }
  return kinds.size === 1 ? [...kinds][0] : null;
}

/** @param {string} text */
function loftOf(text) {
  const [least, most] = club.LOFT_RANGE_DEG;
  const found = [
    ...[...text.matchAll(BOUNCE)].map((match) => Number(match[1])),
    ...[...text.matchAll(NUMBER)].map((match) => Number(`${match[1]}.${match[2] || 0}`)),
  ];
  return found.find((loft) => least <= loft && loft <= most) ?? null;
}

/**
 * @param {string} label
 * @param {number | null} [loft]
 */
export function clubKey(label, loft = null) {
  const plain = words(label.normalize("NFKC").toLowerCase()).join(" ");
  const down = club.GRIPPED_DOWN.some((/** @type {string} */ said) => plain.includes(said));
  return `${keyOf(label, loft)}${down ? " down" : ""}`;
}

/**
 * @param {string} label
 * @param {number | null} given
 */
function keyOf(label, given) {
  const parsed = parseClub(label);
  const loft = given ?? parsed.loft;
  if (loft !== null) return short(loft);
  return parsed.kind ? club._SHORT[parsed.kind] : folded(label).replace(/\s+/gu, " ");
}

/** @type {Map<string, SwingLength>} */
const seen = new Map();
/** @param {string} label */
export function parseSwing(label) {
  const known = seen.get(label) || parsedSwing(label);
  seen.set(label, known);
  return known;
}

/** @param {string} label @returns {SwingLength} */
function parsedSwing(label) {
  const text = folded(label.normalize("NFKC").replaceAll("⁄", "/"));
  const plain = words(text.replace(NOISE, " ")).join(" ") || text;
  const own = { label, key: text, kind: "own", reach: null };
  return clockTime(label, plain) || level(label, plain) || fraction(label, plain) || own;
}

/** @param {string} label @param {string} text */
function clockTime(label, text) {
  const bareText = text.replace(PREFIX, "");
  const told = CLOCK.exec(bareText)?.groups;
  if (!told) return null;
  const marked = told.word || told.minute || /[:h]/.test(text) || bareText !== text;
  if (!marked && !(Number(told.hour) > 6 && Number(told.hour) <= 12)) return null;
  const hour = Number(told.hour) + Number(told.minute || 0) / 60;
  const known = hour >= 6 && hour <= 12.5;
  const reach = known ? Math.min(1, swing.CARRY_PER_DEGREE * 30 * (hour - 6)) : null;
  return { label, key: `clock ${short(hour)}`, kind: "clock", reach };
}

/** @param {string} label @param {string} text */
function level(label, text) {
  const of = (/** @type {string} */ word) => (Object.hasOwn(swing._LEVEL_OF, word) ? swing._LEVEL_OF[word] : undefined);
  const parts = text.split(JOIN).filter(Boolean);
  const levels = new Set((parts.length ? parts : [text]).map((part) => of(part) || of(part.replace(/s+$/, ""))));
  const whole = of(text);
  if (!whole && (levels.size !== 1 || levels.has(undefined))) return null;
  const found = whole || [...levels][0];
  return { label, key: found, kind: found === "full" ? "full" : "level", reach: swing.REACH[found] };
}

/** @param {string} label @param {string} text */
function fraction(label, text) {
  let share = Object.hasOwn(swing._FRACTION_WORDS, text) ? swing._FRACTION_WORDS[text] : null;
  const [parts, percent] = [PARTS.exec(text), PERCENT.exec(text)];
  if (parts) share = Number(parts[2]) ? Number(parts[1]) / Number(parts[2]) : null;
  else if (percent) share = Number(percent[1]) / 100;
  if (share === null || !(share > 0 && share <= 1.1)) return null;
  return { label, key: `share ${short(share, 3)}`, kind: "fraction", reach: Math.min(1, share) };
}

/**
 * What balls of one shot share, however it is written.
 * @param {Record<string, any>} shot
 */
export const shotKey = (shot) => `${clubKey(shot.club, shot.loft_deg ?? null)}\n${parseSwing(shot.swing).key}`;

/** @param {Record<string, any>} shot */
export const shotName = (shot) => `${shot.club} ${shot.swing}`.trim();

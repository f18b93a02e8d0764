// Says a message: the text of its code in the page's language, its values as the end of each name tells. As `language/say.py`.
import { K } from "./constants.js";
import { rounded } from "./numbers.js";

/** @typedef {import("./prepare.js").Message} Message */
/** @typedef {{ texts: Record<string, any>, unit: string, mark: string }} Tongue texts by code, the unit of distances, the decimal mark */

/**
 * @param {Message} message
 * @param {Tongue} tongue
 * @returns {string}
 */
export function sayMessage(message, tongue) {
  const text = tongue.texts[message.code];
  if (text === undefined) return message.code;
  const form = Array.isArray(text) ? text[message[text[2]] === 1 ? 0 : 1] : text;
  return form.replace(/\{(\w+)(?::([^}]*))?\}/g, (/** @type {string} */ all, /** @type {string} */ name, spec = "") =>
    name in message ? valueOf(name, message[name], spec, tongue) : all,
  );
}

/** @param {string} name @param {any} value @param {string} spec @param {Tongue} tongue @returns {string} */
function valueOf(name, value, spec, tongue) {
  if (Array.isArray(value)) return value.map((one) => valueOf(name, one, spec, tongue)).join(", ");
  if (value && typeof value === "object") return sayMessage(value, tongue);
  if (typeof value !== "number") return String(value);
  if (name.endsWith("_one_in")) return oneIn(value, tongue);
  if (spec.includes("+") && value >= 0) return `+${valueOf(name, value, spec.replaceAll("+", ""), tongue)}`;
  return measureOf(name, value, spec, tongue);
}

/** A number with its unit, as its name says. @param {string} name @param {number} value @param {string} spec @param {Tongue} tongue */
function measureOf(name, value, spec, tongue) {
  const words = spec.split(" ");
  const digits = Number(words.find((word) => /^\+?\d+$/.test(word)) || 0);
  const bare = words.includes("bare");
  if (name.endsWith("_m"))
    return numberOf(value / K.units.METRES_PER[tongue.unit], digits, tongue.mark) + (bare ? "" : ` ${tongue.unit}`);
  if (name.endsWith("_share")) return numberOf(100 * value, digits, tongue.mark) + (bare ? "" : " %");
  return numberOf(value, spec ? digits : null, tongue.mark);
}

/** @param {number} value @param {number | null} digits @param {string} mark */
function numberOf(value, digits, mark) {
  const written = digits === null ? String(value) : digits === 0 ? String(rounded(value) || 0) : value.toFixed(digits);
  return written.replace("-", "\u2212").replace(".", mark);
}

/** @param {number} rate @param {Tongue} tongue */
function oneIn(rate, tongue) {
  if (rate < 0.02) return tongue.texts["one_in.hardly"];
  const [code, count] = rate < 0.4 ? ["one_in.one", rounded(1 / rate)] : ["one_in.ten", rounded(10 * rate)];
  return tongue.texts[code].replace("{count}", String(count));
}

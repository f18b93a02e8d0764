// What a page says, in its language: the server hands the texts over, {n} is filled in and chooses the form where there are two.

/** @typedef {string | [string, string]} Text one form, or one for one and one for more */
/** @typedef {(name: string, values?: Record<string, any>) => string} Say */

/**
 * A number with the decimal mark of a language; anything else as it is.
 * @param {unknown} value
 * @param {string} language
 */
export function written(value, language) {
  const text = String(value);
  return /^-?\d+\.\d*$/.test(text) ? text.replace(".", (1.5).toLocaleString(language)[1]) : text;
}

/**
 * A way to say the texts of a table.
 * @param {Record<string, Text>} table
 * @param {string} language
 * @returns {Say}
 */
export function makeSay(table, language) {
  return (name, values = {}) => {
    const text = table[name];
    const form = Array.isArray(text) ? text[values.n === 1 ? 0 : 1] : (text ?? name);
    const filled = form.replace(/\{(\w+)\}/g, (all, word) => (word in values ? written(values[word], language) : all));
    return filled.replace(/± /g, "±\u00a0");
  };
}

/**
 * The day of a moment, as the pages of the server write it: 1 Dec 2026, 01.12.2026.
 * @param {number} at
 * @param {string} language
 */
export function writtenDay(at, language) {
  return new Date(at).toLocaleDateString(language === "en" ? "en-GB" : language, { dateStyle: "medium" });
}

/**
 * How old the oldest of some balls is, in words; a changed clock is told, not computed with.
 * @param {{ at: number }[]} balls
 * @param {Say} say
 * @param {number} now
 */
export function ageOf(balls, say, now = Date.now()) {
  if (!balls.length) return "";
  const minutes = Math.floor((now - Math.min(...balls.map((ball) => ball.at))) / 60000);
  if (minutes < -1 || minutes > 366 * 1440) return say("age_unknown");
  if (minutes < 1) return say("age_now");
  if (minutes < 120) return say("age_minutes", { n: minutes });
  if (minutes < 2880) return say("age_hours", { n: Math.floor(minutes / 60) });
  return say("age_days", { n: Math.floor(minutes / 1440) });
}

/**
 * A ball in a line: "54 waist 41 yd fat".
 * @param {import("./balls.js").Content} ball
 * @param {Say} say
 * @param {string} language
 */
export function sayBall(ball, say, language) {
  const unit = ball.unit === "paces" ? say("paces") : ball.unit;
  const parts = [ball.club, ball.swing, written(ball.carry, language), unit];
  if (ball.strike) parts.push(say(ball.strike));
  if (ball.side) parts.push(say(ball.side < 0 ? "left" : "right", { n: Math.abs(ball.side) }));
  if (ball.count && ball.count > 1) parts.push(say("pile_of", { n: ball.count }));
  return parts.join(" ");
}

// Statistics that a browser has none of: quantiles as numpy takes them, distributions, small linear algebra. Pure.

/** @typedef {ArrayLike<number>} Numbers */

/** @param {Numbers} values */
export function sum(values) {
  let total = 0;
  for (let i = 0; i < values.length; i++) total += values[i];
  return total;
}

/** @param {Numbers} values */
export const mean = (values) => sum(values) / values.length;

/** @param {Numbers} values */
export function variance(values) {
  const middle = mean(values);
  let total = 0;
  for (let i = 0; i < values.length; i++) total += (values[i] - middle) ** 2;
  return total / values.length;
}

/** @param {Numbers} values */
export const sd = (values) => Math.sqrt(variance(values));

/**
 * Quantiles of values that are sorted already, linear between two of them.
 * @param {Numbers} sorted
 * @param {number} level
 */
export function ofSorted(sorted, level) {
  const at = level * (sorted.length - 1);
  const low = Math.floor(at);
  const high = Math.min(low + 1, sorted.length - 1);
  return sorted[low] + (sorted[high] - sorted[low]) * (at - low);
}

/**
 * @param {Numbers} values
 * @param {number[]} levels
 */
export function quantiles(values, levels) {
  const sorted = Float64Array.from(values).sort();
  return levels.map((level) => ofSorted(sorted, level));
}

/** @param {Numbers} values */
export const median = (values) => quantiles(values, [0.5])[0];

/**
 * The k-th smallest; the values are moved about (Hoare 1961, Commun. ACM 4, 321).
 * @param {Float64Array} values
 * @param {number} k
 */
export function smallest(values, k) {
  let from = 0;
  let to = values.length - 1;
  while (from < to) {
    const pivot = values[(from + to) >> 1];
    let i = from;
    let j = to;
    while (i <= j) {
      while (values[i] < pivot) i++;
      while (values[j] > pivot) j--;
      if (i <= j) {
        const held = values[i];
        values[i++] = values[j];
        values[j--] = held;
      }
    }
    if (k <= j) to = j;
    else if (k >= i) from = i;
    else break;
  }
  return values[k];
}

/** The nearest whole number, a half to the even one. @param {number} x */
export function rounded(x) {
  const near = Math.round(x);
  return Math.abs(x % 1) === 0.5 && near % 2 !== 0 ? near - 1 : near;
}

/**
 * @param {number} x
 * @param {number} low
 * @param {number} high
 */
export const within = (x, low, high) => Math.min(Math.max(x, low), high);

/**
 * Chance below x of a normal (Hart 1968, Computer Approximations, 5666), to 15 digits.
 * @param {number} x
 */
export function below(x) {
  const z = Math.abs(x);
  if (z > 37) return x > 0 ? 1 : 0;
  const bell = Math.exp((-z * z) / 2);
  let tail;
  if (z < 7.07106781186547) {
    let top = 3.52624965998911e-2 * z + 0.700383064443688;
    top = ((((top * z + 6.37396220353165) * z + 33.912866078383) * z + 112.079291497871) * z + 221.213596169931) * z;
    let base = 8.83883476483184e-2 * z + 1.75566716318264;
    base = (((base * z + 16.064177579207) * z + 86.7807322029461) * z + 296.564248779674) * z + 637.333633378831;
    tail = (bell * (top + 220.206867912376)) / ((base * z + 793.826512519948) * z + 440.413735824752);
  } else tail = bell / (z + 1 / (z + 2 / (z + 3 / (z + 4 / (z + 0.65))))) / 2.506628274631;
  return x > 0 ? 1 - tail : tail;
}

/**
 * Chance below t of a Student t with an odd number of degrees of freedom (Abramowitz & Stegun 1964, 26.7.3).
 * @param {number} df
 * @param {number} t
 */
export function belowT(df, t) {
  const angle = Math.atan(t / Math.sqrt(df));
  const cosine = Math.cos(angle);
  let part = cosine;
  let series = df > 1 ? cosine : 0;
  for (let k = 3; k <= df - 2; k += 2) {
    part *= ((k - 1) / k) * cosine * cosine;
    series += part;
  }
  return 0.5 + (angle + Math.sin(angle) * series) / Math.PI;
}

/**
 * Chance of k or fewer of n, each with chance p; of none fewer than 0.
 * @param {number} k
 * @param {number} n
 * @param {number} p
 */
export function binomialTo(k, n, p) {
  let chance = (1 - p) ** n;
  let total = 0;
  for (let j = 0; j <= k; j++) {
    total += chance;
    chance *= (((n - j) / (j + 1)) * p) / (1 - p);
  }
  return Math.min(total, 1);
}

/**
 * log(e^a + e^b)
 * @param {number} a
 * @param {number} b
 */
export function logAdd(a, b) {
  const top = Math.max(a, b);
  return top === -Infinity ? top : top + Math.log1p(Math.exp(-Math.abs(a - b)));
}

/** @param {Numbers} values */
export function logSum(values) {
  let top = -Infinity;
  for (let i = 0; i < values.length; i++) top = Math.max(top, values[i]);
  if (top === -Infinity) return top;
  let total = 0;
  for (let i = 0; i < values.length; i++) total += Math.exp(values[i] - top);
  return top + Math.log(total);
}

/**
 * Log density of a normal.
 * @param {number} x
 * @param {number} middle
 * @param {number} wide
 */
export const logNormal = (x, middle, wide) =>
  -0.5 * ((x - middle) / wide) ** 2 - Math.log(wide) - 0.5 * Math.log(2 * Math.PI);

/**
 * The inverse of a symmetric positive matrix (n x n, by rows), by Gauss and Jordan in place; returns it.
 * @param {Float64Array} matrix
 * @param {number} n
 */
export function invert(matrix, n) {
  for (let k = 0; k < n; k++) {
    const pivot = 1 / matrix[k * n + k];
    matrix[k * n + k] = 1;
    for (let j = 0; j < n; j++) matrix[k * n + j] *= pivot;
    for (let i = 0; i < n; i++) {
      const factor = matrix[i * n + k];
      if (i === k || factor === 0) continue;
      matrix[i * n + k] = 0;
      for (let j = 0; j < n; j++) matrix[i * n + j] -= factor * matrix[k * n + j];
    }
  }
  return matrix;
}

/**
 * Linear between points, the ends beyond them.
 * @param {number} x
 * @param {Numbers} at rising
 * @param {Numbers} values
 */
export function between(x, at, values) {
  const last = at.length - 1;
  if (x <= at[0]) return values[0];
  if (x >= at[last]) return values[last];
  let low = 0;
  let high = last;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (at[middle] <= x) low = middle;
    else high = middle;
  }
  return values[low] + ((values[high] - values[low]) * (x - at[low])) / (at[high] - at[low]);
}

/**
 * `count` numbers from 0, as a list.
 * @param {number} count
 */
export const upTo = (count) => Array.from({ length: count }, (_, i) => i);

/**
 * Whole numbers sorted by a value each has; equal ones stay in their order.
 * @param {number} count
 * @param {(i: number) => number} value
 */
export const sortedBy = (count, value) => upTo(count).sort((a, b) => value(a) - value(b));

/**
 * Log of the gamma function of n/2, by its recursion.
 * @param {number} n a whole number above 0
 */
export function logGammaOfHalf(n) {
  let total = n % 2 ? 0.5 * Math.log(Math.PI) : 0;
  for (let k = n % 2 ? 1 : 2; k < n; k += 2) total += Math.log(k / 2);
  return total;
}

/**
 * The value that a chi-square with so many degrees of freedom falls below with this chance: its series (Abramowitz & Stegun 1964,
 * 6.5.29), halved upon.
 * @param {number} level
 * @param {number} df
 */
export function chiSquare(level, df) {
  const a = df / 2;
  const gamma = logGammaOfHalf(df + 2);
  const reached = (/** @type {number} */ x) => {
    let part = 1;
    let series = 1;
    for (let k = 1; part > 1e-15 * series; k++) series += part *= x / 2 / (a + k);
    return series * Math.exp(a * Math.log(x / 2) - x / 2 - gamma);
  };
  let [low, high] = [0, 10 * df + 100];
  for (let step = 0; step < 80; step++) {
    const middle = (low + high) / 2;
    if (reached(middle) < level) low = middle;
    else high = middle;
  }
  return low;
}

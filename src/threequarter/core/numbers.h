/* Exponential, logarithm and random numbers without a library: the same bits on every machine.
 *
 * exp: k ln 2 taken off (Cody & Waite 1980), then its series to the 11th power; log: exponent taken off, then the series of
 * artanh. Both to about 1e-14, written without branches so that loops over them become vectors.
 * Random bits: xoshiro256++ (Blackman & Vigna 2021, ACM Trans. Math. Softw. 47, 36), seeded by splitmix64.
 */
#ifndef NUMBERS_H
#define NUMBERS_H

typedef unsigned long long u64;

static inline double from_bits(u64 bits) { double x; __builtin_memcpy(&x, &bits, 8); return x; }
static inline u64 to_bits(double x) { u64 bits; __builtin_memcpy(&bits, &x, 8); return bits; }
static inline double least(double a, double b) { return a < b ? a : b; }
static inline double most(double a, double b) { return a > b ? a : b; }
static inline double squared(double x) { return x * x; }
static inline double root(double x) { return __builtin_sqrt(x); }

static inline double exp_of(double x)
{
    x = most(-700.0, least(700.0, x));
    double shifted = x * 1.4426950408889634 + 6755399441055744.0;
    double k = shifted - 6755399441055744.0;
    double r = (x - k * 0.6931471803691238) - k * 1.9082149292705877e-10;
    double p = 1.0 / 39916800;
    p = p * r + 1.0 / 3628800;
    p = p * r + 1.0 / 362880;
    p = p * r + 1.0 / 40320;
    p = p * r + 1.0 / 5040;
    p = p * r + 1.0 / 720;
    p = p * r + 1.0 / 120;
    p = p * r + 1.0 / 24;
    p = p * r + 1.0 / 6;
    p = p * r + 0.5;
    p = p * r + 1.0;
    p = p * r + 1.0;
    return p * from_bits((to_bits(shifted) + 1023) << 52);
}

/* Two at once, for numbers that are not above zero. */
typedef double Two __attribute__((vector_size(16), aligned(8)));
typedef u64 TwoBits __attribute__((vector_size(16)));

static inline Two two(double x) { return (Two){x, x}; }
static inline Two two_at(const double *x) { return *(const Two *)x; }
static inline void put_two(double *at, Two x) { *(Two *)at = x; }

static inline Two exp_of_two(Two x)
{
    TwoBits near = (TwoBits)(x > -700.0);
    x = (Two)(((TwoBits)x & near) | ((TwoBits)two(-700.0) & ~near));
    Two shifted = x * 1.4426950408889634 + 6755399441055744.0;
    Two k = shifted - 6755399441055744.0;
    Two r = (x - k * 0.6931471803691238) - k * 1.9082149292705877e-10;
    Two s = r * r;
    Two low = (1.0 + r) + s * (0.5 + r * (1.0 / 6));
    Two middle = (1.0 / 24 + r * (1.0 / 120)) + s * (1.0 / 720 + r * (1.0 / 5040));
    Two high = (1.0 / 40320 + r * (1.0 / 362880)) + s * (1.0 / 3628800 + r * (1.0 / 39916800));
    s = s * s;
    Two p = low + s * (middle + s * high);
    return p * (Two)(((TwoBits)shifted + 1023) << 52);
}

static inline double log_of(double x)
{
    u64 bits = to_bits(x) - 0x3fe6a09e667f3bcdULL;
    double k = from_bits(((bits >> 52) ^ 0x800) | 0x4330000000000000ULL) - (4503599627370496.0 + 2048.0);
    double m = from_bits((bits & 0xfffffffffffffULL) + 0x3fe6a09e667f3bcdULL);
    double s = (m - 1) / (m + 1), z = s * s;
    double p = 1.0 / 17;
    p = p * z + 1.0 / 15;
    p = p * z + 1.0 / 13;
    p = p * z + 1.0 / 11;
    p = p * z + 1.0 / 9;
    p = p * z + 1.0 / 7;
    p = p * z + 1.0 / 5;
    p = p * z + 1.0 / 3;
    p = p * z + 1.0;
    return 2 * s * p + k * 0.6931471805599453;
}

static inline Two log_of_two(Two x)
{
    TwoBits bits = (TwoBits)x - 0x3fe6a09e667f3bcdULL;
    Two k = (Two)(((bits >> 52) ^ 0x800) | 0x4330000000000000ULL) - (4503599627370496.0 + 2048.0);
    Two m = (Two)((bits & 0xfffffffffffffULL) + 0x3fe6a09e667f3bcdULL);
    Two s = (m - 1.0) / (m + 1.0), z = s * s, z2 = z * z;
    Two low = (1.0 + z * (1.0 / 3)) + z2 * (1.0 / 5 + z * (1.0 / 7));
    Two high = (1.0 / 9 + z * (1.0 / 11)) + z2 * (1.0 / 13 + z * (1.0 / 15) + z2 * (1.0 / 17));
    return 2.0 * s * (low + z2 * z2 * high) + k * 0.6931471805599453;
}

/* Random numbers. */

typedef struct { u64 s[4]; double spare; int has_spare; } Random;

static inline u64 rotated(u64 x, int k) { return (x << k) | (x >> (64 - k)); }

static inline void seeded(Random *random, u64 seed)
{
    for (int i = 0; i < 4; i++) {
        u64 z = (seed += 0x9e3779b97f4a7c15ULL);
        z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ULL;
        z = (z ^ (z >> 27)) * 0x94d049bb133111ebULL;
        random->s[i] = z ^ (z >> 31);
    }
    random->has_spare = 0;
}

/* Between 0 and 1, never either. */
static inline double uniform(Random *random)
{
    u64 *s = random->s, bits = rotated(s[0] + s[3], 23) + s[0], t = s[1] << 17;
    s[2] ^= s[0];
    s[3] ^= s[1];
    s[1] ^= s[2];
    s[0] ^= s[3];
    s[2] ^= t;
    s[3] = rotated(s[3], 45);
    return ((double)(bits >> 12) + 0.5) * 2.220446049250313e-16;
}

/* Polar method (Marsaglia & Bray 1964, SIAM Rev. 6, 260). */
static inline double normal(Random *random)
{
    if (random->has_spare) {
        random->has_spare = 0;
        return random->spare;
    }
    double u, v, s;
    do {
        u = 2 * uniform(random) - 1;
        v = 2 * uniform(random) - 1;
        s = u * u + v * v;
    } while (s >= 1);
    double f = root(-2 * log_of(s) / s);
    random->spare = v * f;
    random->has_spare = 1;
    return u * f;
}

/* Gamma of shape 2 and 2.5: sums of exponentials, and half a squared normal. */
static inline double gamma2(Random *random) { return -log_of(uniform(random) * uniform(random)); }
static inline double gamma2h(Random *random) { return gamma2(random) + 0.5 * squared(normal(random)); }
/* A gamma of shape 5 is minus the log of this. */
static inline double fifth_exponential(Random *random)
{
    double u = uniform(random) * uniform(random) * uniform(random);
    return u * uniform(random) * uniform(random);
}

/* Gamma of any shape (Marsaglia & Tsang 2000, ACM Trans. Math. Softw. 26, 363). */
static inline double gamma_of(Random *random, double shape)
{
    if (shape < 1) return gamma_of(random, shape + 1) * exp_of(log_of(uniform(random)) / shape);
    double d = shape - 1.0 / 3, c = 1 / root(9 * d);
    for (;;) {
        double x = normal(random), v = 1 + c * x;
        if (v <= 0) continue;
        v = v * v * v;
        if (log_of(uniform(random)) < 0.5 * x * x + d - d * v + d * log_of(v)) return d * v;
    }
}

/* An index drawn by log weights; `work` holds as many numbers. */
static inline int drawn(Random *random, const double *log_weight, double *work, int count)
{
    double top = log_weight[0], sum = 0;
    for (int i = 1; i < count; i++) top = most(top, log_weight[i]);
    for (int i = 0; i < count; i++) sum += work[i] = exp_of(log_weight[i] - top);
    double left = uniform(random) * sum;
    for (int i = 0; i < count - 1; i++)
        if ((left -= work[i]) < 0) return i;
    return count - 1;
}

#endif

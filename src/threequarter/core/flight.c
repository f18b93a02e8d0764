/* Flights of many balls: the equations and the steps of flight/trajectory.py, four balls side by side.
 *
 * A ball that is down leaves its lane to the next one, so no lane waits; a ball's numbers do not depend on its neighbours.
 * In: FLIGHT_NUMBERS, then rows of `flights` numbers in the order of `Row`. Out: rows in the order of `Down`.
 */
#include "room.h"

enum Number { FLIGHTS, GRAVITY, ROUGHNESS, RADIUS, LONGEST, CD0, CD1, CD2, WAVE, CL0, POWER, LEAST_RE, MOST_RE, MOST_S, DECAY, NEAR_UP, NEAR_DOWN, FLIGHT_NUMBERS };
enum Row { X, Y, Z, VX, VY, VZ, SPIN, STATE, AXIS_Y = STATE, AXIS_Z, WIND_X, WIND_Y, PUSH, PER_SPEED, RISE, DRAG_MORE, LIFT_TIMES, STEP, ROWS };
enum Down { TIME = STATE, APEX, ANSWERS };
enum { PAIRS = 2, LANES = 2 * PAIRS, MOST_TURNS = 2000, NEWTON = 8 };
#define LEAST_STEP_S 1e-4

typedef struct {
    Two state[STATE][PAIRS], slope[STATE][PAIRS], after[STATE][PAIRS], after_slope[STATE][PAIRS];
    Two fixed[ROWS][PAIRS], step[PAIRS], time[PAIRS], turns[PAIRS];
    double apex[LANES];
    int flight[LANES], flying, following, flights;
    const double *in, *rows;
    double *out;
} Air;

#ifdef __wasm__
static inline Two least_two(Two a, Two b) { return __builtin_wasm_pmin_f64x2(a, b); }
static inline Two most_two(Two a, Two b) { return __builtin_wasm_pmax_f64x2(a, b); }
#else
static inline Two least_two(Two a, Two b) { return (Two){least(a[0], b[0]), least(a[1], b[1])}; }
static inline Two most_two(Two a, Two b) { return (Two){most(a[0], b[0]), most(a[1], b[1])}; }
#endif
static inline Two chosen(TwoBits where, Two a, Two b) { return (Two)(((TwoBits)a & where) | ((TwoBits)b & ~where)); }
static inline Two root_two(Two x) { return __builtin_elementwise_sqrt(x); }

/* x to a power, x in 1e-9 to 1e9: as in numbers.h, with as many terms as 1e-11 needs. */
static inline Two log_short(Two x)
{
    TwoBits bits = (TwoBits)x - 0x3fe6a09e667f3bcdULL;
    Two k = (Two)(((bits >> 52) ^ 0x800) | 0x4330000000000000ULL) - (4503599627370496.0 + 2048.0);
    Two m = (Two)((bits & 0xfffffffffffffULL) + 0x3fe6a09e667f3bcdULL);
    Two s = (m - 1.0) / (m + 1.0), z = s * s;
    Two p = (2.0 + z * (2.0 / 3)) + z * z * ((2.0 / 5 + z * (2.0 / 7)) + z * z * (2.0 / 9 + z * (2.0 / 11)));
    return s * p + k * 0.6931471805599453;
}

static inline Two exp_short(Two x)
{
    Two shifted = x * 1.4426950408889634 + 6755399441055744.0;
    Two r = x - (shifted - 6755399441055744.0) * 0.6931471805599453, s = r * r;
    Two low = (1.0 + r) + s * (0.5 + r * (1.0 / 6));
    Two high = (1.0 / 24 + r * (1.0 / 120)) + s * (1.0 / 720 + r * (1.0 / 5040) + s * (1.0 / 40320));
    return (low + s * s * high) * (Two)(((TwoBits)shifted + 1023) << 52);
}

/* sin(pi (re - 90 000) / 200 000): whole half turns taken off, then the series to the 13th power. */
static inline Two wave_of(Two re)
{
    const double whole = 6755399441055744.0;
    Two turns = (re - 90000.0) * (1 / 200000.0);
    Two shifted = turns + whole;
    Two r = (turns - (shifted - whole)) * 3.141592653589793, q = r * r;
    Two p = q * (1.0 / 6227020800) - 1.0 / 39916800;
    p = p * q + 1.0 / 362880;
    p = p * q - 1.0 / 5040;
    p = p * q + 1.0 / 120;
    p = p * q - 1.0 / 6;
    Two sine = r + r * q * p;
    return (Two)((TwoBits)sine ^ ((TwoBits)shifted << 63));
}

/* The right-hand side of the equations. */
static inline __attribute__((always_inline)) void rates(const double *in, Two state[STATE][PAIRS], Two fixed[ROWS][PAIRS], Two slope[STATE][PAIRS])
{
    #pragma clang loop unroll(full)
    for (int i = 0; i < PAIRS; i++) {
        Two height = most_two(state[Z][i] - fixed[RISE][i] * state[X][i], two(0));
        Two by_height = log_short(1.0 + height * (1 / in[ROUGHNESS]));
        Two ux = state[VX][i] - fixed[WIND_X][i] * by_height, uy = state[VY][i] - fixed[WIND_Y][i] * by_height;
        Two uz = state[VZ][i];
        Two speed = root_two(ux * ux + uy * uy + uz * uz);
        Two s = least_two(state[SPIN][i] * in[RADIUS] / most_two(speed, two(1e-9)), two(in[MOST_S]));
        Two re = least_two(most_two(fixed[PER_SPEED][i] * speed, two(in[LEAST_RE])), two(in[MOST_RE]));
        Two cd = in[CD0] + s * (in[CD1] + s * in[CD2]) + in[WAVE] * wave_of(re) + fixed[DRAG_MORE][i];
        Two cl = in[CL0] * exp_short(in[POWER] * log_short(most_two(s, two(1e-9)))) * fixed[LIFT_TIMES][i];
        Two drag = fixed[PUSH][i] * cd * speed, lift = fixed[PUSH][i] * cl * speed;
        slope[X][i] = state[VX][i], slope[Y][i] = state[VY][i], slope[Z][i] = state[VZ][i];
        slope[VX][i] = lift * (fixed[AXIS_Y][i] * uz - fixed[AXIS_Z][i] * uy) - drag * ux;
        slope[VY][i] = lift * fixed[AXIS_Z][i] * ux - drag * uy;
        slope[VZ][i] = -drag * uz - lift * fixed[AXIS_Y][i] * ux - in[GRAVITY];
        slope[SPIN][i] = -in[DECAY] / in[RADIUS] * state[SPIN][i] * speed;
    }
}

static inline void trial(Air *a, Two share[PAIRS], Two slope[STATE][PAIRS], Two to[STATE][PAIRS])
{
    for (int k = 0; k < STATE; k++)
        for (int i = 0; i < PAIRS; i++) to[k][i] = a->state[k][i] + share[i] * slope[k][i];
}

/* One step of every ball (Runge and Kutta's fourth order), short near the ground where the wind changes fastest. */
static void step(Air *a)
{
    const double *in = a->in;
    Two at[STATE][PAIRS], two_[STATE][PAIRS], three[STATE][PAIRS], four[STATE][PAIRS], half[PAIRS];
    for (int i = 0; i < PAIRS; i++) {
        Two height = most_two(a->state[Z][i] - a->fixed[RISE][i] * a->state[X][i], two(0));
        Two climb = a->state[VZ][i] - a->fixed[RISE][i] * a->state[VX][i];
        Two share = chosen((TwoBits)(climb > two(0)), two(in[NEAR_UP]), two(in[NEAR_DOWN]));
        Two near = share * (height + in[ROUGHNESS]) / most_two(most_two(climb, -climb), two(0.1));
        a->step[i] = least_two(a->fixed[STEP][i], most_two(near, two(LEAST_STEP_S)));
        half[i] = 0.5 * a->step[i];
    }
    trial(a, half, a->slope, at);
    rates(in, at, a->fixed, two_);
    trial(a, half, two_, at);
    rates(in, at, a->fixed, three);
    trial(a, a->step, three, at);
    rates(in, at, a->fixed, four);
    for (int k = 0; k < STATE; k++)
        for (int i = 0; i < PAIRS; i++)
            a->after[k][i] = a->state[k][i] + a->step[i] * (1.0 / 6) * (a->slope[k][i] + 2.0 * (two_[k][i] + three[k][i]) + four[k][i]);
    rates(in, a->after, a->fixed, a->after_slope);
}

typedef struct { double h, p, v, a, q, w, b; } Ends; /* of a step: positions, speeds, accelerations at both ends */

static Ends ends_of(const Air *a, int lane, int place)
{
    int i = lane / 2, j = lane % 2, v = place + VX;
    return (Ends){a->step[i][j], a->state[place][i][j], a->state[v][i][j], a->slope[v][i][j],
                  a->after[place][i][j], a->after[v][i][j], a->after_slope[v][i][j]};
}

/* Position at the share `s` of a step by the quintic through both ends; `speed`: its derivative by s. */
static double quintic(Ends e, double s, double *speed)
{
    double first = e.h * e.v, half = 0.5 * e.h * e.h * e.a;
    double gap = e.q - e.p - first - half, rate = e.h * (e.w - e.v - e.h * e.a), bend = e.h * e.h * (e.b - e.a);
    double c3 = 10 * gap - 4 * rate + 0.5 * bend, c4 = -15 * gap + 7 * rate - bend, c5 = 6 * gap - 3 * rate + 0.5 * bend;
    *speed = first + s * (2 * half + s * (3 * c3 + s * (4 * c4 + s * 5 * c5)));
    return e.p + s * (first + s * (half + s * (c3 + s * (c4 + s * c5))));
}

static double hermite(double s, double h, double p, double v, double q, double w)
{
    double left = 1 - s;
    return (1 + 2 * s) * left * left * p + s * left * left * h * v + s * s * (3 - 2 * s) * q - s * s * left * h * w;
}

static double between(const Air *a, int lane, int row, double s)
{
    int i = lane / 2, j = lane % 2;
    return hermite(s, a->step[i][j], a->state[row][i][j], a->slope[row][i][j], a->after[row][i][j], a->after_slope[row][i][j]);
}

/* The highest point within a step in which the climb turns to a fall. */
static double top_of(const Air *a, int lane)
{
    double climb = a->state[VZ][lane / 2][lane % 2], s = climb / (climb - a->after[VZ][lane / 2][lane % 2]);
    for (int round = 0; round < 3; round++) {
        double left = between(a, lane, VZ, s);
        if (left < climb) s += left * s / most(climb - left, 1e-9);
    }
    return between(a, lane, Z, s);
}

/* Where within the step a ball meets the ground: Newton's method, halved back into the bracket where it leaves it. */
static void land(Air *a, int lane)
{
    int flight = a->flight[lane], n = a->flights;
    Ends along = ends_of(a, lane, X), side = ends_of(a, lane, Y), up = ends_of(a, lane, Z);
    double g = a->fixed[RISE][lane / 2][lane % 2], speed;
    Ends over = {up.h, up.p - g * along.p, up.v - g * along.v, up.a - g * along.a,
                 up.q - g * along.q, up.w - g * along.w, up.b - g * along.b};
    double low = 0, high = 1, s = over.p / (over.p - over.q);
    if (!(s > 0 && s < 1)) s = 0.5;
    for (int round = 0; round < NEWTON; round++) {
        double height = quintic(over, s, &speed);
        if (height > 0) low = s;
        else high = s;
        s -= height / speed;
        if (!(s >= low && s <= high)) s = 0.5 * (low + high);
    }
    double *out = a->out + flight;
    out[X * n] = quintic(along, s, &speed);
    out[Y * n] = quintic(side, s, &speed);
    out[Z * n] = quintic(up, s, &speed);
    for (int row = VX; row < STATE; row++) out[row * n] = between(a, lane, row, s);
    out[TIME * n] = a->time[lane / 2][lane % 2] + s * up.h;
    out[APEX * n] = a->apex[lane];
}

/* Gives a lane the next ball; without one it stands still (its step is 0). */
static void load(Air *a, int lane)
{
    int i = lane / 2, j = lane % 2, n = a->flights;
    a->flight[lane] = a->following < n ? a->following++ : -1;
    if (a->flight[lane] < 0) {
        a->flying--;
        a->fixed[STEP][i][j] = 0;
        return;
    }
    for (int row = 0; row < STATE; row++) a->after[row][i][j] = a->rows[row * n + a->flight[lane]];
    for (int row = STATE; row < ROWS; row++) a->fixed[row][i][j] = a->rows[row * n + a->flight[lane]];
    a->apex[lane] = 0, a->time[i][j] = 0, a->turns[i][j] = 0;
}

/* What happened in the step: a top, a landing, or no landing in time (its answer stays nan). */
static void look(Air *a)
{
    int changed = 0;
    TwoBits any = {0, 0}, turned[PAIRS], down[PAIRS];
    for (int i = 0; i < PAIRS; i++) {
        Two over = a->after[Z][i] - a->fixed[RISE][i] * a->after[X][i], climb = a->after[VZ][i] - a->fixed[RISE][i] * a->after[VX][i];
        turned[i] = (TwoBits)(a->state[VZ][i] > two(0)) & (TwoBits)(a->after[VZ][i] <= two(0));
        down[i] = (TwoBits)(over <= two(0)) & (TwoBits)(climb < two(0));
        a->turns[i] += 1.0;
        any |= turned[i] | down[i] | (TwoBits)(a->time[i] > two(a->in[LONGEST])) | (TwoBits)(a->turns[i] > two(MOST_TURNS));
    }
    if (any[0] | any[1])
        for (int lane = 0; lane < LANES; lane++) {
            int i = lane / 2, j = lane % 2;
            if (a->flight[lane] < 0) continue;
            if (turned[i][j]) a->apex[lane] = most(a->apex[lane], top_of(a, lane));
            if (down[i][j]) land(a, lane);
            else if (!(a->time[i][j] > a->in[LONGEST] || a->turns[i][j] > MOST_TURNS)) continue;
            a->step[i][j] = 0;
            load(a, lane);
            changed = 1;
        }
    for (int i = 0; i < PAIRS; i++) a->time[i] += a->step[i];
    __builtin_memcpy(a->state, a->after, sizeof a->state);
    if (changed) rates(a->in, a->state, a->fixed, a->slope);
    else __builtin_memcpy(a->slope, a->after_slope, sizeof a->slope);
}

CALLED("fly") double *fly(const double *input)
{
    static Air air;
    Air *a = &air;
    a->in = input, a->rows = input + FLIGHT_NUMBERS, a->flights = (int)input[FLIGHTS];
    a->out = room(ANSWERS * a->flights);
    for (int i = 0; i < ANSWERS * a->flights; i++) a->out[i] = __builtin_nan("");
    a->following = 0, a->flying = LANES;
    for (int lane = 0; lane < LANES; lane++) load(a, lane);
    __builtin_memcpy(a->state, a->after, sizeof a->state);
    rates(a->in, a->state, a->fixed, a->slope);
    while (a->flying > 0) {
        step(a);
        look(a);
    }
    return a->out;
}

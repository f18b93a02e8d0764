/* The state of the sampler. One array of numbers comes in (Input, then the arrays in the order of `read_input`), one goes out.
 *
 * A ball's log carry = centre of its cell + warm-up + drift + a good strike's rest or a mishit's. The centre = loft line +
 * club + swing length + the cell's own deviation (+ day, day and swing). See docs/chart-model.md for the whole model.
 */
#ifndef MODEL_H
#define MODEL_H

#include "room.h"

enum { GOOD, SOFT, FIRST_KIND, KINDS = 5, CLASSES = FIRST_KIND + KINDS };
enum { CELL_SCALES = 8, SWING_SCALES = 3, DAY_SDS = 4, RATES = 9, RATE_SCALES = 3, WIDEST_GRID = 9 };

/* Places of the single numbers at the start of the input; priors.py gives the same names in the same order. */
enum Input {
    BALLS, CELLS, CLUBS, SWINGS, DAYS, GROUPS, BURN, KEEP, SWEEPS, JUMPS, SEED, CLOCKS,
    BASE_SD, SLOPE_SD, KAPPA_SD, WARM_MEAN, WARM_SD, DRIFT_SD, CLUB_SCALE, DAY_SWING_PART, FREE_SD, OFF_SHARE,
    LEVEL_MEAN, LEVEL_SD, SPREAD_CLUB_SD, SPREAD_SLOPE_SD, SPREAD_CELL_SD,
    RATE_CLUB_SD, RATE_SWING_SD, RATE_CELL_SD, SOFT_A, SOFT_B, SOFT_SHIFT, SOFT_SD,
    CELL_SCALE, CELL_SCALE_PRIOR = CELL_SCALE + CELL_SCALES,
    SWING_SCALE = CELL_SCALE_PRIOR + CELL_SCALES, SWING_SCALE_PRIOR = SWING_SCALE + SWING_SCALES,
    DAY_SD = SWING_SCALE_PRIOR + SWING_SCALES, DAY_SD_PRIOR = DAY_SD + DAY_SDS,
    RATE = DAY_SD_PRIOR + DAY_SDS, RATE_PRIOR = RATE + RATES,
    RATE_SCALE = RATE_PRIOR + RATES, RATE_SCALE_PRIOR = RATE_SCALE + RATE_SCALES,
    KIND_SHIFT = RATE_SCALE_PRIOR + RATE_SCALES, KIND_SD = KIND_SHIFT + KINDS, KIND_SHARE = KIND_SD + KINDS,
    INPUT_NUMBERS = KIND_SHARE + KINDS
};

#define MOST_LOGIT 0.2 /* a cell's mishit rate ends at 55 %: beyond it a mishit would be what is stock */

typedef struct {
    const double *in;
    int n, cells, clubs, swings, days, groups;
    /* cells, read: club and swing (indices), first group, loft line offset, loft over the reference, clock term, length term
       of the spread, whether freed, median of its balls; `hit` lists those with balls */
    int *club, *swing, *first, *hit, hits;
    const double *offset, *loft, *clock, *length, *freed, *middle;
    const double *club_extra, *swing_sd;      /* variance of a guessed loft; SD of a swing length */
    int *group_cell, *group_day, *start;      /* groups: balls of one cell on one day, in a row */
    const double *y, *fade, *time, *noise, *share, *sign; /* balls; sign: factor for good and for each kind */
    /* centres */
    int size, at_slope, at_clock, *at_club, *at_swing, at_day, at_warm, at_drift;
    double *theta, *matrix, *pull, *solved;
    double *rest, *rest_mean, *rest_variance, *precision, *day_swing;
    int cell_scale, swing_scale, day_scale;
    double *club_weight, *swing_weight;
    double *sums;                             /* groups x 9: weights with fade and time, and pulls */
    double *shadow, *work;                    /* scratch: a column of the matrix; days x swings, twice */
    int *touched;
    /* balls */
    double *residual, *f[CLASSES], *total, *chance;
    int *kind;
    /* spread of good strikes, log: level + club + slope x length + cell */
    double level, *spread_club, slope, *spread_cell, *sd;
    /* mishits, logit: level on a grid + club + swing + cell, how much clubs and how much swings differ by a scale on a grid each; soft share of good strikes, 0 where SOFT_A is 0 */
    int rate_level, rate_scale[2];
    double *rate_club, *rate_swing, *rate_cell, *logit, *rate, soft;
    int *bad, *off, jumped;
    Random random;
} Model;

void read_input(Model *m, const double *input);
void start(Model *m);
int answer_numbers(const Model *m);
void keep_sweep(Model *m, double *answer, int kept);
void keep_chances(const Model *m, double *answer);

void see_residuals(Model *m, int cell);
void weigh(Model *m, int cell, int first, int end, double moved);
void jump(Model *m, int cell);
void tell_strikes(Model *m, int keep);
void sum_balls(Model *m);
void draw_centres(Model *m);
void draw_scales(Model *m);
double centre_of(const Model *m, int cell);
double log_on_line(const Model *m, double rest);
double log_off_line(const Model *m, double rest);
void move_spreads(Model *m, int turn);
void move_rates(Model *m, int turn);

static inline int balls_from(const Model *m, int cell) { return m->start[m->first[cell]]; }
static inline int balls_to(const Model *m, int cell) { return m->start[m->first[cell + 1]]; }
static inline double logit_of(const Model *m, int cell)
{
    return m->in[RATE + m->rate_level] + m->rate_club[m->club[cell]] + m->rate_swing[m->swing[cell]] + m->rate_cell[cell];
}
/* SD of what a club, a swing or a cell adds, `part` one of RATE_CLUB_SD, RATE_SWING_SD, RATE_CELL_SD. */
static inline double rate_sd(const Model *m, int part)
{
    return m->in[part] * (part == RATE_CELL_SD ? 1 : m->in[RATE_SCALE + m->rate_scale[part - RATE_CLUB_SD]]);
}
static inline double log_sd_of(const Model *m, int cell)
{
    return m->level + m->spread_club[m->club[cell]] + m->slope * m->length[cell] + m->spread_cell[cell];
}

#endif

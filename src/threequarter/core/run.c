/* The sampler's run: reads the input, starts wide, sweeps, keeps. Called from outside: `run`. */
#include "model.h"

static int *whole(const double **from, int count)
{
    int *numbers = (int *)room(count / 2 + 1);
    for (int i = 0; i < count; i++) numbers[i] = (int)(*from)[i];
    *from += count;
    return numbers;
}

static const double *next(const double **from, int count)
{
    *from += count;
    return *from - count;
}

static void read_arrays(Model *m, const double *at)
{
    m->club = whole(&at, m->cells);
    m->swing = whole(&at, m->cells);
    m->first = whole(&at, m->cells + 1);
    m->offset = next(&at, m->cells);
    m->loft = next(&at, m->cells);
    m->clock = next(&at, m->cells);
    m->length = next(&at, m->cells);
    m->freed = next(&at, m->cells);
    m->middle = next(&at, m->cells);
    m->club_extra = next(&at, m->clubs);
    m->swing_sd = next(&at, m->swings);
    m->group_cell = whole(&at, m->groups);
    m->group_day = whole(&at, m->groups);
    m->start = whole(&at, m->groups + 1);
    m->fade = next(&at, m->n);
    m->time = next(&at, m->n);
    m->noise = next(&at, m->n);
    m->share = next(&at, m->n);
    m->sign = next(&at, m->n * (1 + KINDS));
    double *y = room(m->n);
    const double *log_carry = next(&at, m->n);
    for (int i = 0; i < m->n; i++) y[i] = log_carry[i] - m->in[WARM_MEAN] * m->fade[i];
    m->y = y;
}

/* Gives clubs and swings with balls their places in theta; the others are drawn from the prior at the end. */
static void place(Model *m)
{
    int size = 2;
    m->at_slope = 1;
    m->at_clock = m->in[CLOCKS] > 0 ? size++ : 0;
    m->at_club = (int *)room(m->clubs);
    m->at_swing = (int *)room(m->swings);
    m->hit = (int *)room(m->cells);
    for (int cell = 0; cell < m->cells; cell++) {
        if (m->first[cell] == m->first[cell + 1]) continue;
        m->hit[m->hits++] = cell;
        if (!m->at_club[m->club[cell]]) m->at_club[m->club[cell]] = size++;
        if (!m->at_swing[m->swing[cell]]) m->at_swing[m->swing[cell]] = size++;
    }
    m->at_day = size;
    if (m->days > 1) size += m->days;
    m->at_warm = size++;
    m->at_drift = size++;
    m->size = size;
}

void read_input(Model *m, const double *input)
{
    m->in = input;
    m->n = (int)input[BALLS], m->cells = (int)input[CELLS], m->clubs = (int)input[CLUBS];
    m->swings = (int)input[SWINGS], m->days = (int)input[DAYS], m->groups = (int)input[GROUPS];
    seeded(&m->random, (u64)input[SEED]);
    read_arrays(m, input + INPUT_NUMBERS);
    place(m);
    int p = m->size, cells = m->cells;
    m->theta = room(p), m->matrix = room(p * p), m->pull = room(p), m->solved = room(p), m->shadow = room(p);
    m->touched = (int *)room(p + m->groups + 8);
    m->work = room(2 * m->days * m->swings + cells + m->swings);
    m->rest = room(cells), m->rest_mean = room(cells), m->rest_variance = room(cells), m->precision = room(cells);
    m->day_swing = room(m->days * m->swings), m->sums = room(9 * m->groups);
    m->club_weight = room(m->clubs), m->swing_weight = room(m->swings);
    m->residual = room(m->n), m->total = room(m->n), m->chance = room(CLASSES * m->n), m->kind = (int *)room(m->n);
    for (int k = 0; k < CLASSES; k++) m->f[k] = room(m->n);
    m->spread_club = room(m->clubs), m->spread_cell = room(cells), m->sd = room(cells);
    m->rate_club = room(m->clubs), m->rate_swing = room(m->swings), m->rate_cell = room(cells), m->rate = room(cells), m->logit = room(cells);
    m->bad = (int *)room(cells), m->off = (int *)room(cells);
}

/* Wide: every cell may lie far from the line, its centre at the median of its balls. */
void start(Model *m)
{
    m->cell_scale = 2, m->swing_scale = 1, m->day_scale = 1, m->rate_level = 3, m->rate_scale[0] = m->rate_scale[1] = 1;
    m->level = m->in[LEVEL_MEAN];
    m->soft = m->in[SOFT_A] / (m->in[SOFT_A] + m->in[SOFT_B]);
    for (int c = 0; c < m->clubs; c++) m->club_weight[c] = 0.5;
    for (int s = 0; s < m->swings; s++) m->swing_weight[s] = 0.5;
    for (int cell = 0; cell < m->cells; cell++) {
        m->logit[cell] = logit_of(m, cell);
        m->rate[cell] = 1 / (1 + exp_of(-m->logit[cell]));
        m->sd[cell] = exp_of(log_sd_of(m, cell));
        m->precision[cell] = 0.05 / squared(m->in[CELL_SCALE + m->cell_scale]);
        for (int g = m->first[cell]; g < m->first[cell + 1]; g++) {
            double weight = (m->start[g + 1] - m->start[g]) / squared(0.1);
            m->sums[9 * g] = weight;
            m->sums[9 * g + 6] = weight * (m->middle[cell] - m->offset[cell]);
        }
    }
    draw_centres(m);
}

static void sweep(Model *m, int turn, int keep)
{
    for (int h = 0; h < m->hits; h++) see_residuals(m, m->hit[h]);
    for (int j = 0; j < (int)m->in[JUMPS]; j++) jump(m, m->hit[m->jumped++ % m->hits]);
    tell_strikes(m, keep);
    move_spreads(m, turn);
    move_rates(m, turn);
    sum_balls(m);
    draw_centres(m);
    draw_scales(m);
}

CALLED("run") double *run(const double *input)
{
    Model m = {0};
    read_input(&m, input);
    double *answer = room(answer_numbers(&m));
    int burn = (int)input[BURN], keep = (int)input[KEEP], sweeps = (int)input[SWEEPS];
    start(&m);
    for (int turn = 0; turn < burn; turn++) sweep(&m, turn, 0);
    for (int turn = 0, kept = 0; turn < sweeps; turn++) {
        sweep(&m, burn + turn, 1);
        if ((long long)(turn + 1) * keep / sweeps > kept) keep_sweep(&m, answer, kept++);
    }
    keep_chances(&m, answer);
    return answer;
}

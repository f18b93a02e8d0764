/* What is kept of a sweep. The answer: PER_CELL blocks of (kept, cells), PER_SWEEP blocks of (kept), then (classes, balls),
 * then the mean of what each day adds to each swing length (days, swings). */
#include "model.h"

enum { MEAN, VARIANCE, DRAWN, LAST_DAY, LOG_SD, MISHITS, REST_MEAN, REST_VARIANCE, PER_CELL };
enum { SOFT_SHARE, SCALE, DRIFT, WARM, DAY, LEVEL, PER_SWEEP };

int answer_numbers(const Model *m)
{
    int keep = (int)m->in[KEEP];
    return keep * (PER_CELL * m->cells + PER_SWEEP) + CLASSES * m->n + m->days * m->swings;
}

/* Clubs and swings without a ball, drawn from the prior: they are nobody's place in theta. */
static double unhit_club(Model *m)
{
    double scale2 = squared(m->in[CLUB_SCALE]) * 2 / gamma2(&m->random);
    return root(scale2) * normal(&m->random);
}

static double unhit_swing(Model *m, int swing)
{
    double scale = m->swing_sd[swing] * m->in[SWING_SCALE + m->swing_scale];
    return scale * root(2 / gamma2(&m->random)) * normal(&m->random);
}

static void draw_unhit_cell(Model *m, int cell)
{
    double scale2 = squared(m->in[CELL_SCALE + m->cell_scale]) * 1.5;
    m->rest_mean[cell] = 0;
    m->rest_variance[cell] = scale2 / (gamma_of(&m->random, 1.5));
    m->rest[cell] = root(m->rest_variance[cell]) * normal(&m->random);
    m->spread_cell[cell] = m->in[SPREAD_CELL_SD] * normal(&m->random);
    m->rate_cell[cell] = rate_sd(m, RATE_CELL_SD) * normal(&m->random);
}

static double days_of(const Model *m, int swing, int from)
{
    double sum = 0;
    if (m->days == 1) return 0;
    for (int d = from; d < m->days; d++) sum += m->theta[m->at_day + d] + m->day_swing[d * m->swings + swing];
    return sum / (m->days - from);
}

void keep_sweep(Model *m, double *answer, int kept)
{
    int keep = (int)m->in[KEEP], block = keep * m->cells;
    double *at = answer + kept * m->cells, *club_rest = m->work, *swing_rest = m->work + m->clubs;
    for (int c = 0; c < m->clubs; c++) {
        club_rest[c] = m->at_club[c] ? 0 : root(squared(unhit_club(m)) + m->club_extra[c] * squared(normal(&m->random)));
        if (m->at_club[c]) continue;
        if (uniform(&m->random) < 0.5) club_rest[c] = -club_rest[c];
        m->spread_club[c] = m->in[SPREAD_CLUB_SD] * normal(&m->random);
        m->rate_club[c] = rate_sd(m, RATE_CLUB_SD) * normal(&m->random);
    }
    for (int s = 0; s < m->swings; s++) {
        swing_rest[s] = m->at_swing[s] ? 0 : unhit_swing(m, s);
        if (!m->at_swing[s]) m->rate_swing[s] = rate_sd(m, RATE_SWING_SD) * normal(&m->random);
    }
    double *by_day = answer + answer_numbers(m) - m->days * m->swings;
    for (int d = 0; d < m->days && m->days > 1; d++)
        for (int s = 0; s < m->swings; s++)
            by_day[d * m->swings + s] += (m->theta[m->at_day + d] + m->day_swing[d * m->swings + s] - days_of(m, s, 0)) / keep;
    for (int cell = 0; cell < m->cells; cell++) {
        if (m->first[cell] == m->first[cell + 1]) draw_unhit_cell(m, cell);
        int swing = m->swing[cell];
        double days = days_of(m, swing, 0), more = club_rest[m->club[cell]] + swing_rest[swing] + days;
        double centre = centre_of(m, cell) + more, logit = least(logit_of(m, cell), MOST_LOGIT);
        at[MEAN * block + cell] = centre - m->rest[cell] + m->rest_mean[cell];
        at[VARIANCE * block + cell] = m->rest_variance[cell];
        at[DRAWN * block + cell] = centre;
        at[LAST_DAY * block + cell] = days_of(m, swing, m->days - 1) - days;
        at[LOG_SD * block + cell] = log_sd_of(m, cell);
        at[MISHITS * block + cell] = 1 / (1 + exp_of(-logit));
        at[REST_MEAN * block + cell] = m->rest_mean[cell];
        at[REST_VARIANCE * block + cell] = m->rest_variance[cell];
    }
    at = answer + PER_CELL * block + kept;
    at[SOFT_SHARE * keep] = m->soft;
    at[SCALE * keep] = m->in[CELL_SCALE + m->cell_scale];
    at[DRIFT * keep] = m->theta[m->at_drift];
    at[WARM * keep] = m->theta[m->at_warm] + m->in[WARM_MEAN];
    at[DAY * keep] = m->in[DAY_SD + m->day_scale];
    at[LEVEL * keep] = m->level;
}

void keep_chances(const Model *m, double *answer)
{
    int keep = (int)m->in[KEEP], sweeps = (int)m->in[SWEEPS];
    double *at = answer + keep * (PER_CELL * m->cells + PER_SWEEP);
    for (int i = 0; i < CLASSES * m->n; i++) at[i] = m->chance[i] / sweeps;
}

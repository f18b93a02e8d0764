/* Centres: loft line, clubs, swing lengths, days, warm-up and drift drawn at once, each cell's deviation summed out first and
 * drawn after. Scales and weights of the heavy tails: Student t as scale mixtures (Andrews & Mallows 1974, J. R. Stat. Soc. B 36, 99).
 */
#include "model.h"

#define T3_TOP 0.3675525969478613 /* density at the centre of a Student t with 3 degrees of freedom and scale 1 */
#define BELL_TOP 0.3989422804014327
#define OWN_NAME 0.3 /* a swing length with an SD above this is a player's own name: it tells nothing of the others' scale */

/* Log centre of a cell, days apart. */
double centre_of(const Model *m, int cell)
{
    double centre = m->offset[cell] + m->theta[0] + m->theta[m->at_slope] * m->loft[cell] + m->rest[cell];
    if (m->at_clock) centre += m->theta[m->at_clock] * m->clock[cell];
    int club = m->at_club[m->club[cell]], swing = m->at_swing[m->swing[cell]];
    return centre + (club ? m->theta[club] : 0) + (swing ? m->theta[swing] : 0);
}

/* Log prior of a cell's deviation, but for what both have in common: on the line (Student t, 3 degrees), or off it anyhow. */
double log_on_line(const Model *m, double rest)
{
    double scale = m->in[CELL_SCALE + m->cell_scale];
    return log_of((1 - m->in[OFF_SHARE]) * T3_TOP / scale) - 2 * log_of(1 + squared(rest / scale) / 3);
}

double log_off_line(const Model *m, double rest)
{
    return log_of(most(m->in[OFF_SHARE], 1e-12) * BELL_TOP / m->in[FREE_SD]) - 0.5 * squared(rest / m->in[FREE_SD]);
}

static double swing_scale_of(const Model *m, int swing)
{
    double wide = m->swing_sd[swing] < OWN_NAME ? m->in[SWING_SCALE + m->swing_scale] : m->in[SWING_SCALE];
    return wide * m->swing_sd[swing];
}

static void prior(Model *m)
{
    int p = m->size;
    for (int i = 0; i < p * p; i++) m->matrix[i] = 0;
    for (int i = 0; i < p; i++) m->pull[i] = 0;
    m->matrix[0] = 1 / squared(m->in[BASE_SD]);
    m->matrix[m->at_slope * p + m->at_slope] = 1 / squared(m->in[SLOPE_SD]);
    if (m->at_clock) m->matrix[m->at_clock * p + m->at_clock] = 1 / squared(m->in[KAPPA_SD]);
    for (int c = 0; c < m->clubs; c++)
        if (m->at_club[c]) {
            double variance = squared(m->in[CLUB_SCALE]) / m->club_weight[c] + m->club_extra[c];
            m->matrix[m->at_club[c] * p + m->at_club[c]] = 1 / variance;
        }
    for (int s = 0; s < m->swings; s++)
        if (m->at_swing[s]) m->matrix[m->at_swing[s] * p + m->at_swing[s]] = m->swing_weight[s] / squared(swing_scale_of(m, s));
    for (int d = 0; d < m->days && m->days > 1; d++)
        m->matrix[(m->at_day + d) * p + m->at_day + d] = 1 / squared(m->in[DAY_SD + m->day_scale]);
    m->matrix[m->at_warm * p + m->at_warm] = 1 / squared(m->in[WARM_SD]);
    m->matrix[m->at_drift * p + m->at_drift] = 1 / squared(m->in[DRIFT_SD]);
}

/* What a cell's balls stand on: places and values in theta that are the same for all of them. */
static int stands_on(const Model *m, int cell, int *place, double *value)
{
    int used = 0, club = m->at_club[m->club[cell]], swing = m->at_swing[m->swing[cell]];
    place[used] = 0, value[used++] = 1;
    place[used] = m->at_slope, value[used++] = m->loft[cell];
    if (m->at_clock) place[used] = m->at_clock, value[used++] = m->clock[cell];
    place[used] = club, value[used++] = 1;
    place[used] = swing, value[used++] = 1;
    return used;
}

static void add(Model *m, int a, int b, double x)
{
    if (a >= b) m->matrix[a * m->size + b] += x;
    else m->matrix[b * m->size + a] += x;
}

static void add_group(Model *m, const double *s, double pull0, double pull1, double pull2, const int *place, const double *value, int used)
{
    for (int i = 0; i < used; i++) {
        for (int j = 0; j <= i; j++) add(m, place[i], place[j], s[0] * value[i] * value[j]);
        add(m, m->at_warm, place[i], s[1] * value[i]);
        add(m, m->at_drift, place[i], s[2] * value[i]);
        m->pull[place[i]] += pull0 * value[i];
    }
    add(m, m->at_warm, m->at_warm, s[3]);
    add(m, m->at_drift, m->at_warm, s[4]);
    add(m, m->at_drift, m->at_drift, s[5]);
    m->pull[m->at_warm] += pull1;
    m->pull[m->at_drift] += pull2;
}

/* Adds a cell with its deviation summed out; `shadow`, zero before and after, holds its column. */
static void add_cell(Model *m, int cell)
{
    double value[8], weight = 0, pull = 0, *shadow = m->shadow;
    int place[8], count = 0, used = stands_on(m, cell, place, value), *touched = m->touched;
    for (int i = 0; i < used; i++) touched[count++] = place[i];
    touched[count++] = m->at_warm;
    touched[count++] = m->at_drift;
    for (int g = m->first[cell]; g < m->first[cell + 1]; g++) {
        const double *s = m->sums + 9 * g;
        double off = 0;
        int here = used;
        if (m->days > 1) {
            off = m->day_swing[m->group_day[g] * m->swings + m->swing[cell]];
            place[here] = touched[count++] = m->at_day + m->group_day[g];
            value[here++] = 1;
        }
        double p0 = s[6] - off * s[0], p1 = s[7] - off * s[1], p2 = s[8] - off * s[2];
        add_group(m, s, p0, p1, p2, place, value, here);
        for (int i = 0; i < here; i++) shadow[place[i]] += s[0] * value[i];
        shadow[m->at_warm] += s[1];
        shadow[m->at_drift] += s[2];
        weight += s[0];
        pull += p0;
    }
    double part = 1 / (weight + m->precision[cell]);
    for (int i = 0; i < count; i++) {
        double x = shadow[touched[i]] * part;
        for (int j = 0; j < count; j++)
            if (touched[i] >= touched[j]) m->matrix[touched[i] * m->size + touched[j]] -= x * shadow[touched[j]];
        m->pull[touched[i]] -= x * pull;
    }
    for (int i = 0; i < count; i++) shadow[touched[i]] = 0;
}

/* theta from N(matrix^-1 pull, matrix^-1), by Cholesky in place (lower). */
static void draw_theta(Model *m)
{
    int p = m->size;
    double *a = m->matrix, *x = m->solved;
    for (int i = 0; i < p; i++) {
        for (int j = 0; j <= i; j++) {
            double sum = a[i * p + j];
            for (int k = 0; k < j; k++) sum -= a[i * p + k] * a[j * p + k];
            a[i * p + j] = i == j ? root(most(sum, 1e-9)) : sum / a[j * p + j];
        }
        double sum = m->pull[i];
        for (int k = 0; k < i; k++) sum -= a[i * p + k] * x[k];
        x[i] = sum / a[i * p + i];
    }
    for (int i = 0; i < p; i++) x[i] += normal(&m->random);
    for (int i = p - 1; i >= 0; i--) {
        double sum = x[i] / a[i * p + i];
        m->theta[i] = sum;
        for (int k = 0; k < i; k++) x[k] -= a[i * p + k] * sum;
    }
}

/* The cell's deviation given all else: mean and variance, and a draw. */
static void draw_rest(Model *m, int cell)
{
    double weight = 0, pull = 0, centre;
    m->rest[cell] = 0;
    centre = centre_of(m, cell) - m->offset[cell];
    for (int g = m->first[cell]; g < m->first[cell + 1]; g++) {
        const double *s = m->sums + 9 * g;
        double day = 0;
        if (m->days > 1)
            day = m->theta[m->at_day + m->group_day[g]] + m->day_swing[m->group_day[g] * m->swings + m->swing[cell]];
        weight += s[0];
        pull += s[6] - (centre + day) * s[0] - m->theta[m->at_warm] * s[1] - m->theta[m->at_drift] * s[2];
    }
    m->rest_variance[cell] = 1 / (weight + m->precision[cell]);
    m->rest_mean[cell] = pull * m->rest_variance[cell];
    m->rest[cell] = m->rest_mean[cell] + root(m->rest_variance[cell]) * normal(&m->random);
}

/* What a day adds to a swing length; with one day there is nothing to tell apart. */
static void draw_day_swings(Model *m, double *weight, double *pull)
{
    double precision = 1 / squared(m->in[DAY_SD + m->day_scale] * m->in[DAY_SWING_PART]);
    for (int i = 0; i < m->days * m->swings; i++) weight[i] = pull[i] = 0;
    for (int h = 0; h < m->hits; h++) {
        int cell = m->hit[h];
        double centre = centre_of(m, cell) - m->offset[cell];
        for (int g = m->first[cell]; g < m->first[cell + 1]; g++) {
            const double *s = m->sums + 9 * g;
            int at = m->group_day[g] * m->swings + m->swing[cell];
            double here = centre + m->theta[m->at_day + m->group_day[g]];
            weight[at] += s[0];
            pull[at] += s[6] - here * s[0] - m->theta[m->at_warm] * s[1] - m->theta[m->at_drift] * s[2];
        }
    }
    for (int i = 0; i < m->days * m->swings; i++)
        m->day_swing[i] = pull[i] / (weight[i] + precision) + normal(&m->random) / root(weight[i] + precision);
}

void draw_centres(Model *m)
{
    prior(m);
    for (int h = 0; h < m->hits; h++) add_cell(m, m->hit[h]);
    draw_theta(m);
    for (int h = 0; h < m->hits; h++) draw_rest(m, m->hit[h]);
    if (m->days > 1) draw_day_swings(m, m->work, m->work + m->days * m->swings);
}

/* Sum of log(1 + x / divisor) by folded products. */
static double log_sum(const double *x, int count, double divisor)
{
    double sum = 0, product = 1;
    for (int i = 0; i < count; i++) {
        product *= 1 + x[i] / divisor;
        if (product > 1e100) {
            sum += log_of(product);
            product = 1;
        }
    }
    return sum + log_of(product);
}

static void draw_cell_scale(Model *m, double *square)
{
    double log_weight[WIDEST_GRID], work[WIDEST_GRID];
    int count = 0;
    for (int h = 0; h < m->hits; h++) {
        double rest = m->rest[m->hit[h]], off = log_off_line(m, rest) - log_on_line(m, rest);
        m->off[m->hit[h]] = m->freed[m->hit[h]] > 0 || uniform(&m->random) * (1 + exp_of(-off)) < 1;
        if (!m->off[m->hit[h]]) square[count++] = squared(rest);
    }
    for (int j = 0; j < CELL_SCALES; j++) {
        double scale = m->in[CELL_SCALE + j];
        log_weight[j] = m->in[CELL_SCALE_PRIOR + j] - count * log_of(scale) - 2 * log_sum(square, count, 3 * scale * scale);
    }
    m->cell_scale = drawn(&m->random, log_weight, work, CELL_SCALES);
    double scale2 = squared(m->in[CELL_SCALE + m->cell_scale]);
    for (int h = 0; h < m->hits; h++) {
        int cell = m->hit[h];
        if (m->off[cell]) m->precision[cell] = 1 / squared(m->in[FREE_SD]);
        else m->precision[cell] = 2 * gamma2(&m->random) / (3 * scale2 + squared(m->rest[cell]));
    }
}

static void draw_swing_scale(Model *m, double *square)
{
    double log_weight[WIDEST_GRID], work[WIDEST_GRID];
    int count = 0;
    for (int s = 0; s < m->swings; s++)
        if (m->at_swing[s] && m->swing_sd[s] < OWN_NAME) square[count++] = squared(m->theta[m->at_swing[s]] / m->swing_sd[s]);
    for (int j = 0; j < SWING_SCALES; j++) {
        double scale = m->in[SWING_SCALE + j];
        log_weight[j] = m->in[SWING_SCALE_PRIOR + j] - count * log_of(scale) - 2.5 * log_sum(square, count, 4 * scale * scale);
    }
    m->swing_scale = drawn(&m->random, log_weight, work, SWING_SCALES);
    for (int s = 0; s < m->swings; s++)
        if (m->at_swing[s]) {
            double z = m->theta[m->at_swing[s]] / swing_scale_of(m, s);
            m->swing_weight[s] = 2 * gamma2h(&m->random) / (4 + z * z);
        }
}

static void draw_day_scale(Model *m)
{
    double log_weight[WIDEST_GRID], work[WIDEST_GRID], days = 0, swings = 0;
    for (int d = 0; d < m->days; d++) days += squared(m->theta[m->at_day + d]);
    for (int i = 0; i < m->days * m->swings; i++) swings += squared(m->day_swing[i] / m->in[DAY_SWING_PART]);
    for (int j = 0; j < DAY_SDS; j++) {
        double sd = m->in[DAY_SD + j];
        log_weight[j] = m->in[DAY_SD_PRIOR + j] - m->days * (1 + m->swings) * log_of(sd) - 0.5 * (days + swings) / squared(sd);
    }
    m->day_scale = drawn(&m->random, log_weight, work, DAY_SDS);
}

void draw_scales(Model *m)
{
    double *square = m->work;
    draw_cell_scale(m, square);
    draw_swing_scale(m, square);
    for (int c = 0; c < m->clubs; c++)
        if (m->at_club[c]) {
            double z = m->theta[m->at_club[c]] / m->in[CLUB_SCALE];
            m->club_weight[c] = m->club_extra[c] > 0 ? 0.5 : 2 * gamma2h(&m->random) / (4 + z * z);
        }
    if (m->days > 1) draw_day_scale(m);
    else {
        double work[DAY_SDS];
        m->day_scale = drawn(&m->random, m->in + DAY_SD_PRIOR, work, DAY_SDS);
    }
}

/* Balls: how likely each is good, soft or a mishit; which it is taken for in this sweep; a jump of a cell. */
#include "model.h"

#define T_TOP 0.43999142 /* density at the centre of a Student t with 9 degrees of freedom and SD 1 */
#define BELL_TOP 0.3989422804014327
#define JUMP_MOST 200    /* balls of a cell; with more of them there is one mode only */

void see_residuals(Model *m, int cell)
{
    double warm = m->theta[m->at_warm], drift = m->theta[m->at_drift];
    for (int g = m->first[cell]; g < m->first[cell + 1]; g++) {
        double centre = centre_of(m, cell);
        if (m->days > 1)
            centre += m->theta[m->at_day + m->group_day[g]] + m->day_swing[m->group_day[g] * m->swings + m->swing[cell]];
        for (int i = m->start[g]; i < m->start[g + 1]; i++)
            m->residual[i] = m->y[i] - centre - warm * m->fade[i] - drift * m->time[i];
    }
}

static inline Two bell(Two top, Two off, Two variance)
{
    return top * exp_of_two(-0.5 * off * off / variance) / __builtin_elementwise_sqrt(variance);
}

/* Densities of the classes and their total for the balls from `first` to `end`, the centre of their cell moved by so much.
 * Two balls at once: where their number is odd, the ball after the last is weighed too, and nobody asks for it.
 */
void weigh(Model *m, int cell, int first, int end, double moved)
{
    double sd = m->sd[cell], bad = BELL_TOP * m->rate[cell], fine = 1 - m->rate[cell];
    Two good = two(T_TOP * fine * (1 - m->soft)), soft = two(BELL_TOP * fine * m->soft), s2 = two(sd * sd);
    double shift = m->in[SOFT_SHIFT] * sd, soft2 = squared(m->in[SOFT_SD]);
    for (int i = first; i < end; i += 2) {
        Two noise = two_at(m->noise + i), own = s2 * two_at(m->share + i), variance = own + noise;
        Two off = two_at(m->residual + i) - moved, sign = two_at(m->sign + i);
        Two q = variance / (variance + off * off * (1.0 / 7)), q2 = q * q;
        Two f = good * sign * q2 * q2 * q / __builtin_elementwise_sqrt(variance), total = f;
        put_two(m->f[GOOD] + i, f);
        if (m->soft > 0) {
            total += f = bell(soft * sign, off - shift, soft2 * own + noise);
            put_two(m->f[SOFT] + i, f);
        }
        for (int k = 0; k < KINDS; k++) {
            sign = two_at(m->sign + (1 + k) * m->n + i);
            f = bell(bad * m->in[KIND_SHARE + k] * sign, off - m->in[KIND_SHIFT + k], squared(m->in[KIND_SD + k]) + variance);
            put_two(m->f[FIRST_KIND + k] + i, f);
            total += f;
        }
        put_two(m->total + i, total);
    }
}

static double log_total(const Model *m, int first, int end)
{
    double sum = 0, product = 1;
    for (int i = first; i < end; i++) {
        product *= m->total[i];
        if (((i - first) & 7) == 7) {
            sum += log_of(most(product, 1e-300));
            product = 1;
        }
    }
    return sum + log_of(most(product, 1e-300));
}

static double rest_prior(const Model *m, int cell, double rest)
{
    if (m->freed[cell] > 0) return -0.5 * squared(rest / m->in[FREE_SD]);
    double on = log_on_line(m, rest), off = log_off_line(m, rest);
    return most(on, off) + log_of(1 + exp_of(-most(on - off, off - on)));
}

static double proposal(const Model *m, int first, int end, double moved, double wide)
{
    double sum = 0;
    for (int i = first; i < end; i++) sum += exp_of(-0.5 * squared((moved - m->residual[i]) / wide));
    return log_of(most(sum, 1e-300));
}

/* A cell's deviation proposed anew near one of its balls, classes summed out: the way from one mode to another. */
void jump(Model *m, int cell)
{
    int first = balls_from(m, cell), end = balls_to(m, cell);
    if (end - first > JUMP_MOST) return;
    double wide = 0.7 * m->sd[cell] + 0.01;
    int near = first + (int)(uniform(&m->random) * (end - first));
    double moved = m->residual[near] + wide * normal(&m->random), now = m->rest[cell];
    weigh(m, cell, first, end, 0);
    double gain = proposal(m, first, end, 0, wide) - log_total(m, first, end) - rest_prior(m, cell, now);
    weigh(m, cell, first, end, moved);
    gain += log_total(m, first, end) + rest_prior(m, cell, now + moved) - proposal(m, first, end, moved, wide);
    if (log_of(uniform(&m->random)) >= gain) return;
    m->rest[cell] += moved;
    for (int i = first; i < end; i++) m->residual[i] -= moved;
}

/* What each ball is in this sweep, and how often it was what. */
void tell_strikes(Model *m, int keep)
{
    for (int h = 0; h < m->hits; h++) {
        int cell = m->hit[h], first = balls_from(m, cell), end = balls_to(m, cell), bad = 0;
        weigh(m, cell, first, end, 0);
        for (int i = first; i < end; i++) {
            double left = uniform(&m->random) * m->total[i];
            int k = 0;
            while (k < CLASSES - 1 && (left -= m->f[k][i]) > 0) k++;
            m->kind[i] = k;
            bad += k >= FIRST_KIND;
        }
        m->bad[cell] = bad;
        if (!keep) continue;
        for (int k = 0; k < CLASSES; k++) {
            double *restrict chance = m->chance + k * m->n;
            const double *restrict f = m->f[k], *restrict total = m->total;
            for (int i = first; i < end; i++) chance[i] += f[i] / total[i];
        }
    }
}

/* Weight (1 / variance) of each ball of a cell as what it is taken for; a good one's tail weight is drawn. */
static void weigh_balls(Model *m, int cell, double *weight)
{
    int first = balls_from(m, cell), end = balls_to(m, cell);
    double s2 = squared(m->sd[cell]), soft2 = squared(m->in[SOFT_SD]) * s2;
    for (int i = first; i < end; i++) weight[i] = fifth_exponential(&m->random);
    for (int i = first; i < end; i += 2) {
        Two variance = s2 * two_at(m->share + i) + two_at(m->noise + i), off = two_at(m->residual + i);
        put_two(m->total + i, -2.0 * log_of_two(two_at(weight + i)) / (7.0 * variance + off * off));
    }
    for (int i = first; i < end; i++) {
        int k = m->kind[i];
        if (k == GOOD) weight[i] = m->total[i];
        else if (k == SOFT) weight[i] = 1 / (soft2 * m->share[i] + m->noise[i]);
        else weight[i] = 1 / (squared(m->in[KIND_SD + k - FIRST_KIND]) + s2 * m->share[i] + m->noise[i]);
    }
}

/* Weight and pull of the balls, summed by group. */
void sum_balls(Model *m)
{
    double *weight = m->f[GOOD], shift[CLASSES] = {0};
    for (int k = 0; k < KINDS; k++) shift[FIRST_KIND + k] = m->in[KIND_SHIFT + k];
    for (int h = 0; h < m->hits; h++) {
        int cell = m->hit[h];
        weigh_balls(m, cell, weight);
        shift[SOFT] = m->in[SOFT_SHIFT] * m->sd[cell];
        for (int g = m->first[cell]; g < m->first[cell + 1]; g++) {
            double s[9] = {0};
            for (int i = m->start[g]; i < m->start[g + 1]; i++) {
                double w = weight[i], fade = m->fade[i], time = m->time[i], wf = w * fade, wt = w * time;
                double y = m->y[i] - m->offset[cell] - shift[m->kind[i]];
                s[0] += w, s[1] += wf, s[2] += wt, s[3] += wf * fade, s[4] += wf * time, s[5] += wt * time;
                s[6] += w * y, s[7] += wf * y, s[8] += wt * y;
            }
            for (int k = 0; k < 9; k++) m->sums[9 * g + k] = s[k];
        }
    }
}

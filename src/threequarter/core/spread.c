/* Spread of good strikes and mishit rates, by Metropolis steps sized to what the balls tell. */
#include "model.h"

static double fifth(double x) { double x2 = x * x; return x2 * x2 * x; }

/* Log likelihood gained by a cell's balls, as what they are taken for, when its spread becomes `sd`. */
static double gained(const Model *m, int cell, double sd)
{
    double old2 = squared(m->sd[cell]), new2 = sd * sd, sum = 0, product = 1;
    for (int i = balls_from(m, cell); i < balls_to(m, cell); i++) {
        double was = old2 * m->share[i] + m->noise[i], is = new2 * m->share[i] + m->noise[i], y = m->residual[i];
        if (m->kind[i] == GOOD) {
            double y2 = y * y / 7;
            product *= root(was / is) * fifth((is * (was + y2)) / (was * (is + y2)));
        } else if (m->kind[i] == SOFT) {
            double wide = squared(m->in[SOFT_SD]), off_was = y - m->in[SOFT_SHIFT] * m->sd[cell], off_is = y - m->in[SOFT_SHIFT] * sd;
            was = wide * old2 * m->share[i] + m->noise[i];
            is = wide * new2 * m->share[i] + m->noise[i];
            product *= root(was / is);
            sum += 0.5 * (off_was * off_was / was - off_is * off_is / is);
        } else {
            int k = m->kind[i] - FIRST_KIND;
            double off = y - m->in[KIND_SHIFT + k], wide = squared(m->in[KIND_SD + k]);
            product *= root((wide + was) / (wide + is));
            sum += 0.5 * off * off * (1 / (wide + was) - 1 / (wide + is));
        }
        if (product > 1e100 || product < 1e-100) {
            sum += log_of(most(product, 1e-300));
            product = 1;
        }
    }
    return sum + log_of(most(product, 1e-300));
}

static int taken(Model *m, double gain) { return gain >= 0 || log_of(uniform(&m->random)) < gain; }

static double step(double told, double prior_sd) { return 2.2 / root(1.4 * told + 1 / squared(prior_sd)); }

static double balls_in(const Model *m, int cell) { return balls_to(m, cell) - balls_from(m, cell) - m->bad[cell]; }

static double prior_gain(double from, double by, double sd) { return (squared(from) - squared(from + by)) / (2 * sd * sd); }

static void set_sd(Model *m, int cell) { m->sd[cell] = exp_of(log_sd_of(m, cell)); }

static void move_level(Model *m)
{
    double told = 0, gain, by;
    for (int h = 0; h < m->hits; h++) told += balls_in(m, m->hit[h]);
    by = step(told, m->in[LEVEL_SD]) * normal(&m->random);
    gain = prior_gain(m->level - m->in[LEVEL_MEAN], by, m->in[LEVEL_SD]);
    for (int h = 0; h < m->hits; h++) gain += gained(m, m->hit[h], m->sd[m->hit[h]] * exp_of(by));
    if (!taken(m, gain)) return;
    m->level += by;
    for (int h = 0; h < m->hits; h++) set_sd(m, m->hit[h]);
}

static void move_slope(Model *m)
{
    double told = 0, gain, by;
    for (int h = 0; h < m->hits; h++) told += balls_in(m, m->hit[h]) * squared(m->length[m->hit[h]]);
    by = step(told, m->in[SPREAD_SLOPE_SD]) * normal(&m->random);
    gain = prior_gain(m->slope, by, m->in[SPREAD_SLOPE_SD]);
    for (int h = 0; h < m->hits; h++) gain += gained(m, m->hit[h], m->sd[m->hit[h]] * exp_of(by * m->length[m->hit[h]]));
    if (!taken(m, gain)) return;
    m->slope += by;
    for (int h = 0; h < m->hits; h++) set_sd(m, m->hit[h]);
}

static void move_club(Model *m, int club)
{
    double told = 0, gain = 0, by;
    for (int h = 0; h < m->hits; h++)
        if (m->club[m->hit[h]] == club) told += balls_in(m, m->hit[h]);
    by = step(told, m->in[SPREAD_CLUB_SD]) * normal(&m->random);
    for (int h = 0; h < m->hits; h++)
        if (m->club[m->hit[h]] == club) gain += gained(m, m->hit[h], m->sd[m->hit[h]] * exp_of(by));
    if (!taken(m, gain + prior_gain(m->spread_club[club], by, m->in[SPREAD_CLUB_SD]))) return;
    m->spread_club[club] += by;
    for (int h = 0; h < m->hits; h++)
        if (m->club[m->hit[h]] == club) set_sd(m, m->hit[h]);
}

void move_spreads(Model *m, int turn)
{
    for (int h = 0; h < m->hits; h++) {
        int cell = m->hit[h];
        double sd = m->in[SPREAD_CELL_SD], by = step(balls_in(m, cell), sd) * normal(&m->random);
        double next = m->sd[cell] * exp_of(by);
        if (taken(m, prior_gain(m->spread_cell[cell], by, sd) + gained(m, cell, next))) {
            m->spread_cell[cell] += by;
            m->sd[cell] = next;
        }
    }
    if (turn % 3 == 0) move_level(m);
    if (turn % 3 == 1) move_slope(m);
    if (turn % 3 == 2)
        for (int club = 0; club < m->clubs; club++)
            if (m->at_club[club]) move_club(m, club);
}

/* Mishit rates. */

static double log_odds_of(const Model *m, int cell, double logit)
{
    return m->bad[cell] * logit - (balls_to(m, cell) - balls_from(m, cell)) * log_of(1 + exp_of(logit));
}

static double rate_step(double balls, double sd) { return 2.2 / root(0.12 * balls + 1 / (sd * sd)); }

/* A step of the part of the logit that the cells of a club share, or those of a swing; the other is -1. */
static void move_shared(Model *m, double *part, double sd, int club, int swing)
{
    double balls = 0, gain, by;
    for (int h = 0; h < m->hits; h++) {
        int cell = m->hit[h];
        if (m->club[cell] == club || m->swing[cell] == swing) balls += balls_to(m, cell) - balls_from(m, cell);
    }
    by = rate_step(balls, sd) * normal(&m->random);
    gain = prior_gain(*part, by, sd);
    for (int h = 0; h < m->hits; h++) {
        int cell = m->hit[h];
        if (m->club[cell] != club && m->swing[cell] != swing) continue;
        double now = m->logit[cell];
        if (now + by > MOST_LOGIT) return;
        gain += log_odds_of(m, cell, now + by) - log_odds_of(m, cell, now);
    }
    if (!taken(m, gain)) return;
    *part += by;
    for (int h = 0; h < m->hits; h++)
        if (m->club[m->hit[h]] == club || m->swing[m->hit[h]] == swing) m->logit[m->hit[h]] += by;
}

static void move_cell_rate(Model *m, int cell)
{
    double sd = rate_sd(m, RATE_CELL_SD), by = rate_step(balls_to(m, cell) - balls_from(m, cell), sd) * normal(&m->random);
    double now = m->logit[cell], gain = prior_gain(m->rate_cell[cell], by, sd);
    if (now + by > MOST_LOGIT) return;
    gain += log_odds_of(m, cell, now + by) - log_odds_of(m, cell, now);
    if (!taken(m, gain)) return;
    m->rate_cell[cell] += by;
    m->logit[cell] += by;
}

static void draw_rate_level(Model *m)
{
    double log_weight[WIDEST_GRID], work[WIDEST_GRID], was = m->in[RATE + m->rate_level];
    for (int j = 0; j < RATES; j++) {
        double moved = m->in[RATE + j] - was;
        log_weight[j] = m->in[RATE_PRIOR + j];
        for (int h = 0; h < m->hits; h++) {
            double logit = m->logit[m->hit[h]] + moved;
            log_weight[j] += logit > MOST_LOGIT ? -1e6 : log_odds_of(m, m->hit[h], logit);
        }
    }
    m->rate_level = drawn(&m->random, log_weight, work, RATES);
    for (int h = 0; h < m->hits; h++) m->logit[m->hit[h]] = logit_of(m, m->hit[h]);
}

/* How much the rates of clubs differ, or those of swings, given by how much they do; `at` tells which have a ball. */
static void draw_rate_scale(Model *m, int part, const double *added, const int *at, int parts)
{
    double log_weight[WIDEST_GRID], work[WIDEST_GRID], square = 0;
    int count = 0;
    for (int i = 0; i < parts; i++)
        if (at[i]) count++, square += squared(added[i] / m->in[part]);
    for (int j = 0; j < RATE_SCALES; j++) {
        double scale = m->in[RATE_SCALE + j];
        log_weight[j] = m->in[RATE_SCALE_PRIOR + j] - count * log_of(scale) - 0.5 * square / squared(scale);
    }
    m->rate_scale[part - RATE_CLUB_SD] = drawn(&m->random, log_weight, work, RATE_SCALES);
}

/* The same with what is added stretched along: the way between players whose shots are alike and those whose are not
 * (Yu & Meng 2011, J. Comput. Graph. Stat. 20, 531). `of` tells the part of each cell. */
static void stretch_rates(Model *m, int part, double *added, const int *of, int parts)
{
    int *scale = m->rate_scale + part - RATE_CLUB_SD, next = *scale + (uniform(&m->random) < 0.5 ? -1 : 1);
    if (next < 0 || next >= RATE_SCALES) return;
    double by = m->in[RATE_SCALE + next] / m->in[RATE_SCALE + *scale];
    double gain = m->in[RATE_SCALE_PRIOR + next] - m->in[RATE_SCALE_PRIOR + *scale];
    for (int h = 0; h < m->hits; h++) {
        double now = m->logit[m->hit[h]], then = now + (by - 1) * added[of[m->hit[h]]];
        if (then > MOST_LOGIT) return;
        gain += log_odds_of(m, m->hit[h], then) - log_odds_of(m, m->hit[h], now);
    }
    if (!taken(m, gain)) return;
    *scale = next;
    for (int i = 0; i < parts; i++) added[i] *= by;
    for (int h = 0; h < m->hits; h++) m->logit[m->hit[h]] = logit_of(m, m->hit[h]);
}

static void move_rate_scales(Model *m)
{
    draw_rate_scale(m, RATE_CLUB_SD, m->rate_club, m->at_club, m->clubs);
    draw_rate_scale(m, RATE_SWING_SD, m->rate_swing, m->at_swing, m->swings);
    stretch_rates(m, RATE_CLUB_SD, m->rate_club, m->club, m->clubs);
    stretch_rates(m, RATE_SWING_SD, m->rate_swing, m->swing, m->swings);
}

void move_rates(Model *m, int turn)
{
    double good = 0, soft = 0;
    if (turn % 2 == 0) draw_rate_level(m);
    for (int club = 0; club < m->clubs && turn % 2; club++)
        if (m->at_club[club]) move_shared(m, m->rate_club + club, rate_sd(m, RATE_CLUB_SD), club, -1);
    for (int swing = 0; swing < m->swings && turn % 2; swing++)
        if (m->at_swing[swing]) move_shared(m, m->rate_swing + swing, rate_sd(m, RATE_SWING_SD), -1, swing);
    move_rate_scales(m);
    for (int h = 0; h < m->hits; h++) {
        int cell = m->hit[h];
        move_cell_rate(m, cell);
        m->rate[cell] = 1 / (1 + exp_of(-m->logit[cell]));
    }
    if (!(m->in[SOFT_A] > 0)) return; /* nothing is soft; f[SOFT] stays zero */
    for (int i = 0; i < m->n; i++) {
        good += m->kind[i] == GOOD;
        soft += m->kind[i] == SOFT;
    }
    double a = gamma_of(&m->random, m->in[SOFT_A] + soft), b = gamma_of(&m->random, m->in[SOFT_B] + good);
    m->soft = a / (a + b);
}

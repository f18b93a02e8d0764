"""Does a general sampler find the same posterior of the same model, and how much longer does it take?

    python benchmarks/nuts_agreement.py [--sessions 3] [--draws 1000] [--seed 1]

NUTS (Hoffman & Gelman 2014, J. Mach. Learn. Res. 15, 1593-1623) by numpyro, which is not one of this project's packages: install it beside
them to run this. The density is written anew from docs/chart-model.md, every class, scale and rate level summed out. Sessions of one day,
all shots hit, no sides or flights. For each shot: mean and SD of the log stock carry, mean log spread and mean mishit rate by both.
"""

import argparse
import importlib.util
import time
from collections.abc import Callable
from typing import Any

import numpy as np
from players_by_others import as_ball
from worlds.players import make

from threequarter.chart import posterior, priors
from threequarter.chart.prepare import Readings, prepare

KINDS = ("nominal_whole_yards", "mishits_20", "cells_off_3")
MOST_LOGIT = 0.2
T3_TOP = 0.3675525969478613  # density at the centre of a Student t with 3 degrees of freedom and scale 1


def density(readings: Readings) -> tuple[Callable[[dict[str, Any]], Any], dict[str, int], Callable[[Any], Any]]:
    """Minus the log density by named parameters, the size of each, and each shot's log stock carry."""
    import jax.numpy as jnp
    from jax.scipy.special import logsumexp

    names, swings = readings.names, len(readings.swings)
    club, swing = np.arange(len(names)) // swings, np.arange(len(names)) % swings
    loft = np.array([name.loft_deg for name in names], dtype=float) - priors.LOFT_REF_DEG
    log_reach = np.log([name.length.reach for name in names])
    length = log_reach - log_reach.mean()
    swing_sd = (priors.SWING_SD * np.sqrt(1 - np.exp(log_reach)) + priors.SWING_SD_FLOOR)[:swings]
    offset = priors.FULL_54_LOG_M + priors.SLOPE_PER_DEG * loft + log_reach
    warm_mean, warm_sd = priors.MANY.warm_up
    fade = np.exp(-readings.order / priors.WARM_UP_BALLS)
    hundreds = (readings.order - (readings.order.min() + readings.order.max()) / 2) / 100
    y, cell = readings.log_carry - warm_mean * fade, readings.cell
    rates = np.log(priors.MISHIT_GRID / (1 - priors.MISHIT_GRID))
    scale_log = np.log(priors.CELL_SCALES)
    scale_prior = -0.5 * ((scale_log - priors.CELL_SCALE_LOG[0]) / priors.CELL_SCALE_LOG[1]) ** 2
    level = priors.MANY.spread_log
    off_top = np.log(priors.OFF_SHARE / priors.FREE_SD) - 0.5 * np.log(2 * np.pi)

    def normal(x: Any, sd: Any) -> Any:
        return -0.5 * jnp.sum((x / sd) ** 2)

    def student(x: Any, df: float, scale: Any) -> Any:
        return -(df + 1) / 2 * jnp.log1p((x / scale) ** 2 / df) - jnp.log(scale)

    def alike(x: Any, sd: float) -> Any:
        wide = sd * jnp.array(priors.MISHIT_SCALES)[:, None]
        each = (-0.5 * (x / wide) ** 2 - jnp.log(wide)).sum(1)
        return logsumexp(each + np.log(priors.MISHIT_SCALE_PRIOR))

    def centre(p: Any) -> Any:
        return offset + p["base"][0] + p["slope"][0] * loft + p["club"][club] + p["swing"][swing] + p["rest"]

    def energy(p: Any) -> Any:
        total = normal(p["base"], priors.FULL_54_SD) + normal(p["slope"], priors.SLOPE_SD)
        total += normal(p["warm"], warm_sd) + normal(p["drift"], priors.DRIFT_SD)
        total += student(p["club"], 4, priors.CLUB_SD).sum()
        wide = jnp.array(priors.SWING_SCALES)[:, None] * swing_sd
        total += logsumexp(student(p["swing"], 4, wide).sum(1) + np.log(priors.SWING_SCALE_PRIOR))
        on_line = student(p["rest"], 3, jnp.array(priors.CELL_SCALES)[:, None]) + np.log(
            T3_TOP * (1 - priors.OFF_SHARE)
        )
        off_line = -0.5 * (p["rest"] / priors.FREE_SD) ** 2 + off_top
        total += logsumexp(jnp.logaddexp(on_line, off_line).sum(1) + scale_prior)
        total += normal(p["level"], level[1]) + normal(p["spread_club"], priors.SPREAD_CLUB_SD)
        total += normal(p["spread_slope"], priors.SPREAD_SLOPE_SD) + normal(p["spread_cell"], priors.CELL_SPREAD_SD)
        total += alike(p["rate_club"], priors.MISHIT_CLUB_SD) + alike(p["rate_swing"], priors.MISHIT_SWING_SD)
        total += normal(p["rate_cell"], priors.MISHIT_CELL_SD)
        off = y - centre(p)[cell] - p["warm"][0] * fade - p["drift"][0] * hundreds
        variance = jnp.exp(2 * log_sd(p))[cell] / readings.count + readings.noise
        good = jnp.log(0.43999142) - 0.5 * jnp.log(variance) - 5 * jnp.log1p(off**2 / (7 * variance))
        each = priors.KIND_SD[:, None] ** 2 + variance
        bad = np.log(priors.KIND_SHARE)[:, None] - 0.5 * jnp.log(2 * np.pi * each)
        bad = logsumexp(bad - 0.5 * (off - priors.KIND_SHIFT[:, None]) ** 2 / each, axis=0)
        logit = rates[:, None] + rate_parts(p)
        one = logit[:, cell]
        balls = jnp.logaddexp(good - jnp.logaddexp(0.0, one), bad - jnp.logaddexp(0.0, -one)).sum(1)
        too_high = jnp.where((logit > MOST_LOGIT).any(1), -1e6, 0.0)
        total += logsumexp(balls + too_high + np.log(priors.MISHIT_PRIOR))
        return -total

    def log_sd(p: Any) -> Any:
        return level[0] + p["level"][0] + p["spread_club"][club] + p["spread_slope"][0] * length + p["spread_cell"]

    def rate_parts(p: Any) -> Any:
        return p["rate_club"][club] + p["rate_swing"][swing] + p["rate_cell"]

    def told(p: Any) -> Any:
        return jnp.stack([centre(p), log_sd(p)])

    one, clubs, cells = 1, len(readings.clubs), len(names)
    sizes = {"base": one, "slope": one, "warm": one, "drift": one, "club": clubs, "swing": swings, "rest": cells}
    sizes |= {"level": one, "spread_club": clubs, "spread_slope": one, "spread_cell": cells}
    sizes |= {"rate_club": clubs, "rate_swing": swings, "rate_cell": cells}
    return energy, sizes, told


def by_nuts(readings: Readings, draws: int, seed: int) -> tuple[np.ndarray, float, float]:
    """Draws (chains, draws, 2, cells) of log centre and log spread; seconds without compiling; largest R-hat of the centres."""
    import jax
    import numpyro
    from numpyro.diagnostics import split_gelman_rubin
    from numpyro.infer import MCMC, NUTS

    numpyro.enable_x64()
    energy, sizes, told = density(readings)
    rng = np.random.default_rng(seed)
    start = {name: 0.01 * rng.standard_normal((2, size)) for name, size in sizes.items()}
    sampler = MCMC(
        NUTS(potential_fn=energy, target_accept_prob=0.9),
        num_warmup=draws // 2,
        num_samples=draws,
        num_chains=2,
        chain_method="sequential",
        progress_bar=False,
    )
    sampler.warmup(jax.random.PRNGKey(seed), init_params=start, extra_fields=())
    began = time.perf_counter()
    sampler.run(jax.random.PRNGKey(seed + 1), init_params=None)
    took = time.perf_counter() - began
    found = np.asarray(jax.vmap(jax.vmap(told))(sampler.get_samples(group_by_chain=True)))
    return found, took, float(np.max(split_gelman_rubin(found[:, :, 0])))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sessions", type=int, default=len(KINDS))
    parser.add_argument("--draws", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args()
    if importlib.util.find_spec("numpyro") is None:
        print("left out: numpyro is not installed")
        return
    for kind in KINDS[: chosen.sessions]:
        readings = prepare([as_ball(row) for row in make(kind, 0, chosen.seed).rows])
        readings.side[:], readings.launch_deg[:], readings.log_spin[:] = np.nan, np.nan, np.nan
        began = time.perf_counter()
        ours = posterior.infer(readings)
        fast = time.perf_counter() - began
        theirs, slow, rhat = by_nuts(readings, chosen.draws, chosen.seed)
        centre, log_sd = theirs[:, :, 0].reshape(-1, theirs.shape[-1]), theirs[:, :, 1].reshape(-1, theirs.shape[-1])
        sd = centre.std(axis=0)
        off, wide = (ours.drawn.mean(axis=0) - centre.mean(axis=0)) / sd, ours.drawn.std(axis=0) / sd
        spread = ours.log_sd.mean(axis=0) - log_sd.mean(axis=0)
        print(
            f"{kind:22s} {len(readings.cell)} balls, {len(sd)} shots: means apart by {np.sqrt((off**2).mean()):.2f} SD (most {np.abs(off).max():.2f}), "
            f"SD over theirs {wide.mean():.2f} ({wide.min():.2f} to {wide.max():.2f}), log spread apart by {np.sqrt((spread**2).mean()):.3f}; "
            f"R-hat {rhat:.3f}; {slow:.0f} s against {1000 * fast:.0f} ms: {slow / fast:.0f} times",
            flush=True,
        )


if __name__ == "__main__":
    main()

"""Speed of the chart beside the same kind of model by NUTS and beside the plain mean, in one run; and a season of players.

    python benchmarks/chart_fit.py [--players 500]

NUTS needs numpyro: pip install numpyro. Without it that leg is left out, loudly. Limits: a fit of 12 cells x 10 balls in
15 ms, 200 times faster than NUTS runs (compilation apart), 100 000 balls of 500 players in 10 s and 500 MB.
"""

import argparse
import resource
import time

import numpy as np
from worlds.old import SHARES, simulate

from threequarter.chart.fit import fit_chart
from threequarter.golf.ball import Ball
from threequarter.golf.units import YARD_M


def bucket(rng: np.random.Generator) -> list[Ball]:
    """Three wedges, four swings, ten balls each."""
    balls = []
    for loft in (50, 54, 58):
        for swing, (share, _) in list(SHARES.items())[1:]:
            for _ in range(10):
                carry = 85 * YARD_M * share * np.exp(-0.03 * (loft - 54) + 0.06 * rng.standard_t(9))
                carry *= 0.7 if rng.random() < 0.12 else 1.0
                balls.append(
                    Ball(
                        number=len(balls) + 1,
                        club=str(loft),
                        loft_deg=float(loft),
                        swing=swing,
                        distance_m=float(carry),
                    )
                )
    return balls


def plain_means(balls: list[Ball]) -> dict[tuple[str, str], float]:
    cells: dict[tuple[str, str], list[float]] = {}
    for ball in balls:
        cells.setdefault((ball.club, ball.swing), []).append(ball.distance_m)
    return {cell: float(np.mean(values)) for cell, values in cells.items()}


def nuts(balls: list[Ball]) -> tuple[float, dict[tuple[str, str], float]] | None:
    """Seconds of a NUTS run after compilation (1000 warm-up, 1000 draws), and the posterior medians of the carries."""
    try:
        import jax
        import jax.numpy as jnp
        import numpyro
        import numpyro.distributions as dist
        from numpyro.infer import MCMC, NUTS
    except ImportError:
        return None
    clubs, swings = sorted({b.club for b in balls}), list(dict.fromkeys(b.swing for b in balls))
    club = jnp.array([clubs.index(b.club) for b in balls])
    swing = jnp.array([swings.index(b.swing) for b in balls])
    loft = jnp.array([float(c) for c in clubs]) - 54
    reach = jnp.log(jnp.array([SHARES[s][0] for s in swings]))
    y = jnp.log(jnp.array([b.distance_m for b in balls]))
    shift, width = jnp.array([-0.31, 0.16, -0.23, -0.07]), jnp.array([0.17, 0.12, 0.13, 0.08])

    def model() -> None:
        base = numpyro.sample("base", dist.Normal(jnp.log(73.0), 0.4))
        slope = numpyro.sample("slope", dist.Normal(-0.03, 0.005))
        s = numpyro.sample("swing", dist.Normal(0, 0.09).expand([len(swings)]))
        c = numpyro.sample("club", dist.Normal(0, 0.014).expand([len(clubs)]))
        r = numpyro.sample("rest", dist.Normal(0, 0.017).expand([len(clubs), len(swings)]))
        level = numpyro.sample("level", dist.Normal(jnp.log(0.068), 0.42))
        rate = numpyro.sample("rate", dist.Beta(1.2, 6))
        centre = numpyro.deterministic("centre", base + slope * loft[:, None] + c[:, None] + (reach + s)[None] + r)
        mu, sd = centre[club, swing], jnp.exp(level)
        good = dist.StudentT(9.0, mu, sd * jnp.sqrt(7 / 9)).log_prob(y) + jnp.log1p(-rate)
        bad = dist.Normal(mu[:, None] + shift, jnp.sqrt(width**2 + sd**2)).log_prob(y[:, None])
        bad = jax.nn.logsumexp(bad + jnp.log(jnp.array([0.5, 0.23, 0.08, 0.19])), axis=1) + jnp.log(rate)
        numpyro.factor("balls", jnp.logaddexp(good, bad).sum())

    sampler = MCMC(NUTS(model), num_warmup=1000, num_samples=1000, progress_bar=False)
    sampler.run(jax.random.PRNGKey(0))
    start = time.perf_counter()
    sampler.run(jax.random.PRNGKey(1))
    centre = np.asarray(sampler.get_samples()["centre"])
    seconds = time.perf_counter() - start
    return seconds, {
        (c, s): float(np.exp(np.median(centre[:, i, j]))) for i, c in enumerate(clubs) for j, s in enumerate(swings)
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--players", type=int, default=500)
    chosen = parser.parse_args()
    rng = np.random.default_rng(1)
    balls = bucket(rng)
    fit_chart(balls)
    times = []
    for _ in range(40):
        start = time.perf_counter()
        chart = fit_chart(balls)
        times.append(time.perf_counter() - start)
    start = time.perf_counter()
    for _ in range(100):
        plain_means(balls)
    plain = (time.perf_counter() - start) / 100
    ours = float(np.median(times))
    print(
        f"12 cells x 10 balls: chart {1e3 * ours:.1f} ms (limit 15, fastest {1e3 * min(times):.1f}); plain mean {1e3 * plain:.3f} ms"
    )
    other = nuts(balls)
    if other is None:
        print("NOT MEASURED: NUTS, since numpyro is not installed (pip install numpyro)")
    else:
        apart = [abs(chart.cell(c, s).stock_carry_m / carry - 1) for (c, s), carry in other[1].items()]
        print(
            f"NUTS {other[0]:.2f} s: the chart is {other[0] / ours:.0f} times faster; carries differ by {100 * max(apart):.2f} % at most"
        )
    sessions = [simulate(rng, "plain", 17).balls for _ in range(chosen.players)]
    count = sum(map(len, sessions))
    start = time.perf_counter()
    for session in sessions:
        fit_chart(session)
    seconds = time.perf_counter() - start
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{count} balls of {chosen.players} players: {seconds:.1f} s (limit 10), {memory:.0f} MB (limit 500)")


if __name__ == "__main__":
    main()

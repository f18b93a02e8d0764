"""Does choosing the shot help? Expected strokes saved against two habits, on simulated players, greens and winds; and its speed.

    python benchmarks/choosing.py [--players 40] [--seed 5]

Habits: the shot whose stock carry is nearest to the number (no wind, no run), and the full swing nearest to it. All three are played
out in one world drawn anew for each case: the player's true carries, the ground's true run, the wind as it is. Everything is
simulated: the figures say what the method is worth if players, greens and balls are as assumed.
"""

import argparse
import time

import numpy as np
from worlds.old import simulate

from threequarter.chart.fit import fit_chart
from threequarter.choice.green import Green, Trouble, ends
from threequarter.choice.shot import WORLDS, ShotModel, choose, fly, shared_chances, stopped
from threequarter.choice.today import shot_models
from threequarter.flight.weather import Weather

CALM = Weather(temp_c=18.0, altitude_m=0.0, wind_mps=0.0)


def strokes(model: ShotModel, aim_m: float, world: int, green: Green, rng: np.random.Generator) -> float:
    """Mean strokes of a shot in one world, two thousand balls."""
    one = ShotModel(
        club=model.club,
        swing=model.swing,
        log_carry=model.log_carry[world : world + 1],
        log_sd=model.log_sd[world : world + 1],
        tail_df=model.tail_df,
        mishit_rate=model.mishit_rate,
        side_sd=model.side_sd,
        side_m=model.side_m[world : world + 1],
        run_m=model.run_m[world : world + 1],
    )
    carry, run, y = fly(one, shared_chances(rng, 1, 2000))
    x = stopped(green, carry, run, y + aim_m)
    return 1 + float(ends(green, x, y + aim_m, "club").strokes.mean())


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--players", type=int, default=40)
    parser.add_argument("--seed", type=int, default=5)
    chosen = parser.parse_args()
    rng = np.random.default_rng(chosen.seed)
    against: dict[str, list[float]] = {"nearest number": [], "full swings only": []}
    took = []
    for _ in range(chosen.players):
        session = simulate(rng, "plain", 8)
        chart = fit_chart(session.balls)
        carries = np.array([cell.stock_carry_m for cell in chart.cells])
        for _ in range(3):
            to_m = float(rng.uniform(carries.min() + 5, min(carries.max(), 110.0)))
            trouble = (
                (Trouble(side=str(rng.choice(["short", "long", "left", "right"])), kind="sand"),)
                if rng.random() < 0.5
                else ()
            )  # type: ignore[arg-type]
            pin = float(rng.uniform(5, 20))
            green = Green(to_pin_m=to_m, pin_m=pin, trouble=trouble)
            day = Weather(
                temp_c=float(rng.normal(18, 6)),
                altitude_m=0.0,
                wind_mps=float(rng.gamma(2, 2)),
                wind_from_deg=float(rng.uniform(0, 360)),
            )
            firmness = str(rng.choice(["soft", "normal", "firm"]))
            models, _ = shot_models(chart, session.balls, CALM, day, firmness=firmness, to_m=to_m)  # type: ignore[arg-type]
            start = time.perf_counter()
            options = choose(models, green, rng=np.random.default_rng(1))
            took.append((time.perf_counter() - start) / len(models))
            if not options:
                continue
            world, noise = int(rng.integers(WORLDS)), int(rng.integers(2**31))
            best = next(m for m in models if (m.club, m.swing) == (options[0].club, options[0].swing))
            ours = strokes(best, options[0].aim_m, world, green, np.random.default_rng(noise))
            near = models[int(np.argmin(np.abs(carries - to_m)))]
            full = [i for i, cell in enumerate(chart.cells) if cell.swing in ("full", "10:00")] or list(
                range(len(chart.cells))
            )
            habit = models[min(full, key=lambda i: abs(carries[i] - to_m))]
            for name, model in (("nearest number", near), ("full swings only", habit)):
                against[name].append(strokes(model, 0.0, world, green, np.random.default_rng(noise)) - ours)
    for name, saved in against.items():
        values = np.array(saved)
        error = 1.645 * values.std() / np.sqrt(len(values))
        print(
            f"saved against {name:17s}: {values.mean():+.3f} strokes a shot ({values.mean() - error:+.3f} to {values.mean() + error:+.3f}), {len(values)} shots"
        )
    print(f"20 options x 10 000 balls: {20 * np.median(took):.2f} s (limit 1)")


if __name__ == "__main__":
    main()

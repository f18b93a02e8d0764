"""Writes the demo bucket: an invented player on an invented range. Run: python scripts/make_demo.py

Assumptions (common practice, no source; the player is simulated, not measured): a full 54 carries 84 yd, 3 % a degree of
loft, chest 62 % of a full swing and so on; ball-to-ball spread 6 % of carry, Student t with 8 degrees of freedom; one ball
in eight is mishit (two in three of them fat); the first balls come up a little short. The lob wedge's full swing and the
gap wedge's chest swing carry the same (a double); nothing is hit between the shoulder and the full swing of the 50 (a hole).
"""

from pathlib import Path

import numpy as np

SEED = 20260418
TARGET = Path(__file__).parents[1] / "src" / "threequarter" / "demo" / "bucket.csv"
CLUBS = {"GW 50": 50, "SW 54": 54, "LW 60": 60}
SHARES = {"waist": 0.49, "chest": 0.62, "shoulder": 0.74, "full": 1.03}
FULL_54_YD = 84.0
SPREAD, TAIL_DF, MISHITS = 0.047, 8, 0.13
BALLS = {"GW 50": 6, "SW 54": 8, "LW 60": 6}


def carry(rng: np.random.Generator, centre: float) -> tuple[float, str]:
    """One ball's carry and what was written beside it."""
    t = rng.standard_t(TAIL_DF) * np.sqrt((TAIL_DF - 2) / TAIL_DF)
    good = centre * np.exp(SPREAD * t)
    if rng.random() > MISHITS:
        return good, ""
    kind = rng.choice(["fat", "thin", "toe"], p=[0.62, 0.25, 0.13])
    factor = {"fat": -0.34, "thin": 0.16, "toe": -0.09}[kind] + 0.1 * rng.normal()
    said = kind if rng.random() < 0.6 else ""
    return good * np.exp(factor), said


def main() -> None:
    rng = np.random.default_rng(SEED)
    lines = [
        "Gapping session, Harrowmere practice ground (invented)",
        "Player: Robin Sedge",
        "Date: 2026-04-18; range ball; 16 C",
        "",
        "Ball;Club;Swing;Carry (yd);Offline (yd);Note",
    ]
    number = 0
    for _ in range(6):
        number += 1
        distance, _said = carry(rng, FULL_54_YD * SHARES["waist"] * 0.93)
        lines.append(f"{number};SW 54;waist;{distance:.1f};{rng.normal(0, 2.4):.1f};warm-up")
    for club in ("SW 54", "GW 50", "LW 60"):
        for swing, share in SHARES.items():
            for _ in range(BALLS[club]):
                number += 1
                centre = FULL_54_YD * share * np.exp(-0.03 * (CLUBS[club] - 54)) * (1 - 0.015 * np.exp(-number / 12))
                distance, said = carry(rng, centre)
                lines.append(f"{number};{club};{swing};{distance:.1f};{rng.normal(0.5, 0.045 * distance):.1f};{said}")
        lines.append(";Average;;;;")
    TARGET.parent.mkdir(exist_ok=True)
    TARGET.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()

"""Writes the demo's three days of one season: an invented player on an invented range. Run: python scripts/make_demo.py

The first day is a bucket (a table), the second a lesson with a film and the third the balls of a recheck (lines as typed).

Assumptions (common practice, no source; the player is simulated, not measured): a full 54 carries 84 yd, 3 % a degree of
loft, chest 62 % of a full swing and so on; ball-to-ball spread 4.7 % of carry, Student t with 8 degrees of freedom; one ball
in eight is mishit (two in three of them fat); the first balls come up a little short. The lob wedge's full swing and the
gap wedge's shoulder swing carry the same (a double); nothing is hit between the shoulder and the full swing of the 54 (a hole).
The later days have a form of their own (SD 1.5 %) and carry 0.1 % further for each degree that it is warmer.
"""

from pathlib import Path

import av
import numpy as np

from threequarter.demo import BUCKET, LATER, PLAYER

SEED = 20260418
CLUBS = {"GW 50": 50, "SW 54": 54, "LW 60": 60}
SHARES = {"waist": 0.49, "chest": 0.62, "shoulder": 0.74, "full": 1.03}
FULL_54_YD = 84.0
SPREAD, TAIL_DF, MISHITS = 0.047, 8, 0.13
BALLS = {"GW 50": 6, "SW 54": 8, "LW 60": 6}
FORM_SD, WARMER = 0.015, 0.001
BUCKET_C = 16.0
FILM = Path(__file__).parents[1] / "tests" / "data" / "swings" / "o09_three_swings.mp4"
FILM_S = 12.48
"""Holds the first two of its three rendered swings, waist and chest."""
SHOTS = (
    [("SW 54", "waist", 5), ("SW 54", "chest", 6), ("LW 60", "chest", 5), ("SW 54", "waist", 5), ("SW 54", "chest", 6)],
    [("SW 54", "chest", 4), ("GW 50", "waist", 4), ("LW 60", "shoulder", 4), ("SW 54", "waist", 4)] * 2
    + [("LW 60", "full", 4), ("SW 54", "full", 4)],
)
"""The shots of each later day in the order hit."""


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
    BUCKET.write_text("\n".join(bucket()) + "\n", encoding="utf-8")
    for place, (day, shots) in enumerate(zip(LATER, SHOTS, strict=True), start=1):
        rng = np.random.default_rng([SEED, place])
        level = float(np.exp(rng.normal(0, FORM_SD) + WARMER * (day.temp_c - BUCKET_C)))
        lines = [f"# {PLAYER}, {day.held_on}, {day.temp_c:g} C", *(typed(rng, level, *shot) for shot in shots)]
        day.file.write_text("\n".join(lines) + "\n", encoding="utf-8")
        if day.film:
            cut(FILM, day.film, FILM_S)


def cut(whole: Path, part: Path, until_s: float) -> None:
    """The first seconds of a film, its pictures as they are."""
    with av.open(str(whole)) as film, av.open(str(part), "w") as out:
        seen = film.streams.video[0]
        kept = out.add_stream_from_template(seen)
        for packet in film.demux(seen):
            if packet.pts is not None and packet.pts * seen.time_base < until_s:
                packet.stream = kept
                out.mux(packet)


def typed(rng: np.random.Generator, level: float, club: str, swing: str, balls: int) -> str:
    """The balls of one shot as a coach types them: whole yards, a mishit by its word where somebody saw it."""
    found = [carry(rng, level * centre(club, swing)) for _ in range(balls)]
    return f"{club} {swing} " + " ".join(f"{said} {distance:.0f}".strip() for distance, said in found)


def centre(club: str, swing: str) -> float:
    """The carry in yards that the player's good strikes of a shot lie about."""
    return FULL_54_YD * SHARES[swing] * float(np.exp(-0.03 * (CLUBS[club] - 54)))


def bucket() -> list[str]:
    """The lines of the first day's table."""
    rng = np.random.default_rng(SEED)
    lines = [
        "Gapping session, Harrowmere practice ground (invented)",
        f"Player: {PLAYER}",
        f"Date: 2026-04-18; range ball; {BUCKET_C:g} C",
        "",
        "Ball;Club;Swing;Carry (yd);Offline (yd);Note",
    ]
    number = 0
    for _ in range(6):
        number += 1
        distance, _said = carry(rng, FULL_54_YD * SHARES["waist"] * 0.93)
        lines.append(f"{number};SW 54;waist;{distance:.1f};{rng.normal(0, 2.4):.1f};warm-up")
    for club in ("SW 54", "GW 50", "LW 60"):
        for swing in SHARES:
            for _ in range(BALLS[club]):
                number += 1
                distance, said = carry(rng, centre(club, swing) * (1 - 0.015 * np.exp(-number / 12)))
                lines.append(f"{number};{club};{swing};{distance:.1f};{rng.normal(0.5, 0.045 * distance):.1f};{said}")
        lines.append(";Average;;;;")
    return lines


if __name__ == "__main__":
    main()

"""Tables that a coach may have and that hold no carry, or hold it beside what looks like one.

No number of them may be read as a carry unasked: a question about the carry, or a refusal. Invented tables.
"""

from collections.abc import Callable
from random import Random

import pytest

from threequarter.intake.options import ReadOptions
from threequarter.intake.reading import Reading
from threequarter.intake.tables.read import read_table

SHOTS = (("52", "waist", 34.0), ("52", "chest", 62.0), ("58", "waist", 28.0), ("58", "chest", 51.0))
Row = Callable[[int, str, str, float, Random], str]


def table(head: str, row: Row, balls: int = 5) -> str:
    chance = Random(7)
    hit = [(c, s, m * chance.gauss(1, 0.05)) for c, s, m in SHOTS for _ in range(balls)]
    return f"{head}\n" + "".join(f"{row(i, c, s, x, chance)}\n" for i, (c, s, x) in enumerate(hit, start=1))


def read(text: str, options: ReadOptions | None = None) -> Reading:
    return read_table(text.encode(), "x.csv", options)


def five(x: float) -> int:
    return 5 * round(x / 5)


NO_CARRY_FOR_SURE = {
    "a target and what came of it": ("Ziel;Ist;Schläger", lambda i, c, s, x, r: f"{five(x)};{x:.1f};{c}"),
    "the same in letters of another kind": (
        "מקל;הנפה;מטרה;תוצאה",
        lambda i, c, s, x, r: f"{c};{s};{five(x)};{x:.1f}",
    ),
    "no heading, target before carry": ("", lambda i, c, s, x, r: f"{five(x)};{x:.0f}"),
    "totals only": ("Club;Swing;Total distance (m)", lambda i, c, s, x, r: f"{c};{s};{1.08 * x:.1f}"),
    "total and roll": (
        "Schläger;Schwung;Gesamtlänge (m);Rollweg (m)",
        lambda i, c, s, x, r: f"{c};{s};{1.08 * x:.1f};{0.08 * x:.1f}",
    ),
    "totals in Japanese": ("クラブ,振り幅,トータル(ヤード)", lambda i, c, s, x, r: f"{c},{s},{x:.0f}"),
    "strokes": (
        "Player;Hole 1;Hole 2;Hole 3;Hole 4;Hole 5;Hole 6;Total",
        lambda i, c, s, x, r: f"Player {i % 4};" + ";".join(str(r.randint(3, 7)) for _ in range(6)) + ";30",
    ),
    "a pulse": ("Club,Heart rate", lambda i, c, s, x, r: f"{c},{r.randint(70, 120)}"),
    "a pulse and steps": (
        "Time,Heart rate,Steps",
        lambda i, c, s, x, r: f"10:{i:02d},{r.randint(70, 120)},{r.randint(20, 90)}",
    ),
    "prices": ("Club;Model;Price (EUR)", lambda i, c, s, x, r: f"{c};type {i};{r.randint(60, 160)}"),
    "a price that says carry": ("Club,Swing,Carry bag price", lambda i, c, s, x, r: f"{c},{s},{r.randint(60, 160)}"),
    "steps": ("club,swing,steps", lambda i, c, s, x, r: f"{c},{s},{x:.0f}"),
    "a share that says carry": ("Club;Swing;Carry (%)", lambda i, c, s, x, r: f"{c};{s};{r.randint(60, 100)}"),
    "shares in the cells": ("Schläger;Trefferquote;Ziel", lambda i, c, s, x, r: f"{c};{r.randint(40, 100)} %;50 m"),
    "seconds in the air": ("club,swing,carry (s)", lambda i, c, s, x, r: f"{c},{s},{r.uniform(2, 5):.2f}"),
    "height only": ("club,swing,apex (m)", lambda i, c, s, x, r: f"{c},{s},{0.27 * x:.1f}"),
    "ball speed only": (
        "club,swing,ball speed (mph)",
        lambda i, c, s, x, r: f"{c},{s},{26 * (x / 50) ** 0.48 / 0.447:.1f}",
    ),
    "the holes of a course": (
        "Hole,Par,Yards,Metres",
        lambda i, c, s, x, r: f"{i},3,{100 + 7 * i % 80},{0.9144 * (100 + 7 * i % 80):.0f}",
    ),
    "putts": ("Hole;Putt length (m);Putts", lambda i, c, s, x, r: f"{i};{r.uniform(4, 20):.1f};{r.randint(1, 3)}"),
    "a target and the miss": (
        "Sopa;Salınım;Hedef (m);Sapma (m)",
        lambda i, c, s, x, r: f"{c};{s};{five(x)};{r.gauss(0, 3):.1f}",
    ),
    "least, mean and most": (
        "Club;Swing;Min;Avg;Max",
        lambda i, c, s, x, r: f"{c};{s};{0.9 * x:.0f};{x:.0f};{1.1 * x:.0f}",
    ),
}


@pytest.mark.parametrize("name", NO_CARRY_FOR_SURE)
def test_no_number_is_a_carry_unasked(name: str) -> None:
    head, row = NO_CARRY_FOR_SURE[name]
    reading = read(table(head, row).lstrip("\n"))
    assert not reading.balls or "carry" in {question.about for question in reading.questions}


def test_lofts_beside_the_carries_are_no_carries() -> None:
    text = table(
        "Name;GW loft;SW loft;GW;SW", lambda i, c, s, x, r: f"Ana;52;58;{r.gauss(60, 3):.0f};{r.gauss(50, 3):.0f}"
    )
    reading = read(text, ReadOptions(unit="m"))
    assert {ball.club for ball in reading.balls} == {"GW", "SW"}
    assert min(ball.distance_m for ball in reading.balls if ball.club == "GW") > 52


def test_two_clubs_side_by_side_are_two_clubs() -> None:
    text = table("ball;52 (m);58 (m)", lambda i, c, s, x, r: f"{i};{r.gauss(60, 3):.1f};{r.gauss(48, 2):.1f}")
    reading = read(text)
    assert {ball.club for ball in reading.balls} == {"52", "58"}
    assert len(reading.balls) == 40
    assert not reading.questions


def test_days_as_numbers_are_no_carries() -> None:
    reading = read(table("date,club,carry m", lambda i, c, s, x, r: f"{45000 + i // 7},{c},{x:.1f}"))
    assert len(reading.balls) == 20
    assert max(ball.distance_m for ball in reading.balls) < 80

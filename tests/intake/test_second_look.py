"""What a second look doubts: tables that read smoothly and are not what they seem are asked about, plain ones are not.

The tables are simulated (three clubs, three swings, four balls each, 6 % spread); each case changes one thing.
"""

from collections.abc import Callable
from random import Random

import pytest

from threequarter.intake.options import ReadOptions
from threequarter.intake.reading import Reading
from threequarter.intake.tables.read import read_table

Row = tuple[str, str, float, float]
SWINGS = {"waist": 0.45, "chest": 0.72, "full": 1.0}
CLUBS = {"52": 90.0, "56": 82.0, "60": 74.0}


def balls() -> list[Row]:
    random = Random(5)
    return [
        (club, swing, round(far * part * random.gauss(1, 0.06), 1), round(random.gauss(0, 2), 1))
        for club, far in CLUBS.items()
        for swing, part in SWINGS.items()
        for _ball in range(4)
    ]


def table(head: str, row: Callable[[int, str, str, float, float], str], above: str = "", below: str = "") -> str:
    rows = "\n".join(row(i, *ball) for i, ball in enumerate(balls()))
    return f"{above}{head}\n{rows}\n{below}"


def read(text: str, options: ReadOptions | None = None) -> Reading:
    return read_table(text.encode(), "balls.csv", options)


def asked(text: str) -> set[str]:
    return {question.about for question in read(text).questions}


def plain(_i: int, club: str, swing: str, carry: float, _side: float) -> str:
    return f"{club};{swing};{carry}"


HEAD = "Club;Swing;Carry (m)"
CASES: dict[str, tuple[str, str]] = {
    "a line between the balls in unknown words": (
        "player",
        table(HEAD, lambda i, c, s, x, o: f"{c};{s};{x}" + ("\nDélután" if i == 17 else "")),
    ),
    "a unit that a line changes against the heading": (
        "unit",
        table(HEAD, lambda i, c, s, x, o: f"{c};{s};{x}" + ("\nfrom here in yards" if i == 17 else "")),
    ),
    "a heading against the line above it": ("unit", table("Club;Swing;Carry (yd)", plain, "All distances in metres\n")),
    "a unit that is no unit": ("unit", table("Club;Swing;Carry (kroky)", plain)),
    "cells in another unit than their heading": (
        "unit",
        table(HEAD, lambda i, c, s, x, o: f"{c};{s};{x}{' yd' if i % 5 == 0 else ''}"),
    ),
    "a distance beside the run": (
        "carry",
        table("Club;Swing;Distance (m);Roll (m)", lambda i, c, s, x, o: f"{c};{s};{x};{x / 10:.1f}"),
    ),
    "sides without a sign": (
        "offline",
        table(f"{HEAD};Side (m)", lambda i, c, s, x, o: f"{c};{s};{x};{abs(o)}"),
    ),
    "letters of sides that are no pair": (
        "offline",
        table(f"{HEAD};Side (m)", lambda i, c, s, x, o: f"{c};{s};{x};{abs(o)} {'K' if o < 0 else 'L'}"),
    ),
    "a heading that tells the plus side in unknown words": (
        "offline",
        table(f"{HEAD};Side (m, + ezker)", lambda i, c, s, x, o: f"{c};{s};{x};{o}"),
    ),
    "marks of balls that count in unknown words": (
        "rows",
        table(f"{HEAD};Counts", lambda i, c, s, x, o: f"{c};{s};{x};{'arra' if i % 5 else 'gorri'}"),
    ),
    "a mark beside a few carries": ("rows", table(HEAD, lambda i, c, s, x, o: f"{c};{s};{x}{'' if i % 7 else '*'}")),
    "a line that tells of warm-up balls": ("rows", table(HEAD, plain, below="Balls 1 to 4 were warm-up\n")),
    "rows that leave the swing blank": ("rows", table(HEAD, plain, below="52;;66\n56;;60\n")),
    "the mean at the end of each shot": (
        "rows",
        "Club;Swing;Carry (m)\n"
        + "\n".join(
            f"{club};{swing};{far:.1f}"
            for club in CLUBS
            for swing in SWINGS
            for run in [[ball[2] for ball in balls() if ball[:2] == (club, swing)]]
            for far in (*run, sum(run) / len(run))
        ),
    ),
    "two players above": ("player", table(HEAD, plain, "Player: Ana Nova\nPlayer: Bo Berg\n")),
    "who wrote it down": ("player", table(HEAD, plain, "Recorded by: Ulf Berg\n")),
    "a name in a title": ("player", table(HEAD, plain, "wedge day of Ana Kvalnes\n")),
    "no swing told": ("swing", table("Club;Carry (m)", lambda i, c, s, x, o: f"{c};{x}")),
    "more loft goes further": (
        "club",
        table(HEAD, lambda i, c, s, x, o: f"{112 - int(c)};{s};{x}"),
    ),
    "headings once more with other words": (
        "carry",
        table(
            "Club;Swing;Carry (m);Total (m)",
            lambda i, c, s, x, o: (
                f"{c};{s};{x};{x * 1.1:.1f}"
                if i < 18
                else ("Club;Swing;Total (m);Carry (m)\n" if i == 18 else "") + f"{c};{s};{x * 1.1:.1f};{x}"
            ),
        ),
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_what_is_not_what_it_seems_is_asked_about(case: str) -> None:
    about, text = CASES[case]
    assert about in asked(text)


@pytest.mark.parametrize(
    "text",
    [
        table(HEAD, plain),
        table(HEAD, plain, "Player: Ana Nova\nWedge session, 3 May 2026\n"),
        table(f"{HEAD};Side (m)", lambda i, c, s, x, o: f"{c};{s};{x};{o}"),
        table(f"{HEAD};Note", lambda i, c, s, x, o: f"{c};{s};{x};{'' if i % 6 else 'fat'}"),
        table("Club;Swing;Carry;Total", lambda i, c, s, x, o: f"{c};{s};{x};{x * 1.1:.1f}", "all in metres\n"),
    ],
)
def test_a_plain_table_is_not_doubted(text: str) -> None:
    reading = read(text)
    assert reading.questions == ()
    assert len(reading.balls) == 36


def test_who_has_looked_is_not_asked_again() -> None:
    text = table(HEAD, plain, below="Balls 1 to 4 were warm-up\n")
    assert read(text).balls == ()
    told = read(text, ReadOptions(as_read=("rows",)))
    assert told.questions == ()
    assert len(told.balls) == 36


def test_the_same_balls_on_two_sheets_wait_for_the_sheet_to_be_named(tmp_path: object) -> None:
    import io

    from openpyxl import Workbook

    book = Workbook()
    for n, name in enumerate(("first", "put right")):
        sheet = book.active if n == 0 else book.create_sheet()
        sheet.title = name
        sheet.append(["Club", "Swing", "Carry (m)"])
        for club, swing, far, _side in balls():
            sheet.append([club, swing, far + 3 * n])
    held = io.BytesIO()
    book.save(held)
    reading = read_table(held.getvalue(), "balls.xlsx")
    question = next(one for one in reading.questions if one.about == "sheet")
    assert (question.option, question.choices) == ("--sheet", ("first", "put right"))
    assert reading.balls == ()
    assert len(read_table(held.getvalue(), "balls.xlsx", ReadOptions(sheet="put right")).balls) == 36


def test_a_cell_over_several_rows_of_a_web_page_holds_for_each() -> None:
    page = (
        "<table><tr><th>Club</th><th>Swing</th><th>Carry (m)</th></tr>"
        "<tr><td rowspan=4>54</td><td rowspan=2>waist</td><td>40</td></tr><tr><td>41</td></tr>"
        "<tr><td>chest</td><td>55</td></tr><tr><td>chest</td><td>57</td></tr></table>"
    )
    reading = read_table(page.encode(), "balls.html")
    assert [(b.club, b.swing, b.distance_m) for b in reading.balls] == [
        ("54", "waist", 40),
        ("54", "waist", 41),
        ("54", "chest", 55),
        ("54", "chest", 57),
    ]

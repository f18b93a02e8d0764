"""Commands go by what a file tells of its own days: date, ball and air; options say otherwise."""

import datetime
import importlib
import json
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner
from pypdf import PdfReader

from threequarter.cli import card, chart, day, recheck
from threequarter.cli import next as next_ball
from threequarter.demo import BUCKET
from threequarter.golf.ball import Ball, MeasuredAs, MeasuredBy
from threequarter.golf.errors import UserError
from threequarter.intake.load import file_balls
from threequarter.intake.options import ReadOptions
from threequarter.intake.own_format.columns import row_of
from threequarter.intake.own_format.files import write_own

TWO_DAYS = "Date,Club,Swing,Carry (yd)\n" + "".join(
    f"{held_on},54,waist,{times * carry:.1f}\n"
    for held_on, times in (("2026-04-18", 1.0), ("2026-06-20", 1.15))
    for carry in (40, 41, 42, 40.5, 41.5, 39.5, 42.5, 41, 40, 42)
)
MADE = "Hit: 18 Apr 2026, range ball, 16 °C."


def run(command: object, *words: str) -> str:
    done = CliRunner().invoke(command.command, words, catch_exceptions=False)  # type: ignore[attr-defined]
    assert done.exit_code == 0, done.output
    return done.output


def test_a_card_bears_the_day_its_balls_were_hit_and_never_that_of_printing(tmp_path: Path) -> None:
    out = tmp_path / "card.pdf"
    assert MADE in run(card, str(BUCKET), "-o", str(out))
    printed = " ".join(page.extract_text() for page in PdfReader(out).pages)
    assert "18 Apr 2026, range ball, 16 °C" in " ".join(printed.split())
    said = run(card, str(BUCKET), "-o", str(out), "--date", "in May", "--ball-used", "own ball", "--air", "cold")
    assert "Hit: in May, own ball, cold." in said


def test_a_file_without_a_date_says_so(tmp_path: Path) -> None:
    table = tmp_path / "plain.csv"
    table.write_text("Club,Swing,Carry (yd)\n" + "54,waist,41\n54,waist,43\n54,waist,42\n" * 2)
    assert "Hit: no date given." in run(card, str(table), "-o", str(tmp_path / "card.pdf"))


def test_another_day_starts_from_the_air_the_file_tells_unless_an_option_does(tmp_path: Path) -> None:
    told = run(day, str(BUCKET), "--temp", "9")
    assert MADE in told
    assert "Made in: 16 °C." in told
    assert "Made in: 25 °C." in run(day, str(BUCKET), "--temp", "9", "--made-temp", "25")


@pytest.mark.parametrize("command", [chart, next_ball])
def test_a_file_of_two_dates_is_pooled_and_not_enough_once_it_moved(command: object, tmp_path: Path) -> None:
    table = tmp_path / "two.csv"
    table.write_text(TWO_DAYS)
    said = " ".join(run(command, str(table)).split())
    assert "it moved, and these numbers lie between the days" in said
    if command is chart:
        assert "Hit: 18 Apr 2026 and 20 Jun 2026." in said
        assert "It moved." in said


@pytest.mark.parametrize("name", ["chart", "shot", "day", "card", "practice", "wedges", "spread"])
def test_every_command_pools_the_days_of_a_file_and_brings_them_to_one_air(name: str, tmp_path: Path) -> None:
    """The days of our own table have their air in its rows: told otherwise, the chart is another one."""
    told = []
    for temp_c in (2.0, 35.0):
        rows = [
            row_of(ball)
            | {
                "held_on": held_on,
                "temp_c": temp_c if held_on.month == 4 else 18.0,
                "session_key": "a",
                "ball_key": f"{n}",
            }
            for n, (held_on, ball) in enumerate(season())
        ]
        table = tmp_path / f"own-{temp_c:.0f}.csv"
        write_own(rows, "csv", table)
        words = {"shot": ["--to", "45"], "practice": ["--seed", "3"], "card": ["-o", str(tmp_path / "card.pdf")]}.get(
            name, []
        )
        command = importlib.import_module(f"threequarter.cli.{name}")
        said = run(command, str(table), *words, *([] if name == "card" else ["--json", "-"]))
        told.append(PdfReader(tmp_path / "card.pdf").pages[0].extract_text() if name == "card" else said)
    assert told[0] != told[1]


def season() -> list[tuple[datetime.date, Ball]]:
    return [
        (
            held_on,
            Ball(
                number=n,
                club="54",
                swing=swing,
                distance_m=far * (1 + 0.01 * (n % 5 - 2)),
                measured_by=MeasuredBy.DEVICE,
            ),
        )
        for held_on in (datetime.date(2026, 4, 18), datetime.date(2026, 6, 20))
        for swing, far in (("waist", 38.0), ("chest", 47.0))
        for n in range(8)
    ]


def test_the_ground_of_our_own_table_counts_until_an_option_says_otherwise(tmp_path: Path) -> None:
    balls = [replace(ball, measured_as=MeasuredAs.REST) for _day, ball in season()]
    means = {}
    for ground in ("soft", "firm"):
        rows = [
            row_of(ball)
            | {"ground": ground, "held_on": datetime.date(2026, 4, 18), "session_key": "a", "ball_key": f"{n}"}
            for n, ball in enumerate(balls)
        ]
        table = tmp_path / f"{ground}.csv"
        write_own(rows, "csv", table)
        means[ground] = sum(ball.distance_m for ball in file_balls(table, ReadOptions()).balls)
        means[f"{ground} told normal"] = sum(
            ball.distance_m for ball in file_balls(table, ReadOptions(), "normal").balls
        )
    assert means["firm"] < means["soft told normal"] == means["firm told normal"] < means["soft"]


def test_a_recheck_of_one_file_holds_its_newest_day_and_two_files_go_by_their_dates(tmp_path: Path) -> None:
    whole, *parts = (tmp_path / name for name in ("whole.csv", "old.csv", "new.csv"))
    whole.write_text(TWO_DAYS)
    head, *rows = TWO_DAYS.splitlines(keepends=True)
    parts[0].write_text(head + "".join(row for row in rows if row.startswith("2026-04")))
    parts[1].write_text(head + "".join(row for row in rows if row.startswith("2026-06")))
    found = [
        json.loads(run(recheck, *map(str, files), "--json", "-"))
        for files in ((whole,), parts, parts[::-1])  # the last named backwards
    ]
    assert found[0] == found[1] == found[2]
    assert found[0]["verdict"] == "moved"
    assert found[0]["whole"]["moved"] > 0
    assert found[0]["held"] == "Compared: 20 Jun 2026 with 18 Apr 2026."
    refused = CliRunner().invoke(recheck.command, [str(parts[0])])
    assert isinstance(refused.exception, UserError)
    assert "one day only" in str(refused.exception)


def test_a_day_of_our_own_table_that_nobody_dated_is_told_as_assumed(tmp_path: Path) -> None:
    made_at = datetime.datetime(2026, 5, 9, 10)
    rows = [
        row_of(ball) | {"made_at_utc": made_at, "session_key": "a", "ball_key": f"{n}"}
        for n, (_day, ball) in enumerate(season())
    ]
    write_own(rows, "csv", tmp_path / "own.csv")
    assert "Hit: 9 May 2026 (date assumed)." in run(chart, str(tmp_path / "own.csv"))

"""Commands go by what a file tells of its own days: date, ball and air; options say otherwise."""

from pathlib import Path

import pytest
from click.testing import CliRunner
from pypdf import PdfReader

from threequarter.cli import card, chart, day
from threequarter.cli import next as next_ball
from threequarter.demo import BUCKET

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
    assert "Hit: date not told." in run(card, str(table), "-o", str(tmp_path / "card.pdf"))


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

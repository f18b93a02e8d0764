"""All that commands, prints and answers say goes through the catalogue; and the German of it: plurals, decimal comma, fonts.

In a made-up language (`made_up_language.py`) nothing readable is left but what people typed.
"""

import datetime
import io
import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from importlib import import_module
from pathlib import Path
from typing import Any, Final

import click
import pypdf
import pytest
from click.testing import CliRunner
from tests.made_up_language import MadeUp, plain_words

from swing_support import checked
from threequarter.answers.swing import said_again, swings_answer
from threequarter.chart.fit import fit_chart
from threequarter.cli.main import MODULES, SHORT_HELP, group
from threequarter.demo import BUCKET
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.intake.load import carries
from threequarter.intake.notes.read import NoteOptions, read_notes
from threequarter.intake.options import ReadOptions
from threequarter.intake.tables.read import read_table
from threequarter.language import lines, say, say_error
from threequarter.language.localize import speaking
from threequarter.language.texts.swing import FILMING
from threequarter.languages import catalogue, language, of_environment
from threequarter.paper.report import report
from threequarter.practice.work_on import work_on
from threequarter.swing.check import SwingCheck
from threequarter.swing.measure import Swing

pytestmark = pytest.mark.slow

TYPED: Final = frozenset(
    "Ball GW SW LW waist chest shoulder full Robin Sedge Carry Club Swing Offline bucket csv Rangeball kalt Apr range ball".split()
)
"""What came in with the balls and the options of these tests: names, swings, headings, files."""
SYMBOLS: Final = frozenset("threequarter yd hPa km mph MB pdf svg".split())
TEXTS: Final = (
    "words",
    "why",
    "notes",
    "rule",
    "reading",
    "plan",
    "warnings",
    "text",
    "error",
    "what",
    "made_in",
    "day",
    "goal",
    "said",
)
"""Keys of an answer under which sentences stand."""


@pytest.fixture
def made_up() -> Iterator[None]:
    with speaking("en", MadeUp()):
        yield


def said(*words: str) -> str:
    """What a command prints; a user's mistake is told too."""
    done = CliRunner().invoke(group, list(words))
    if isinstance(done.exception, UserError):
        return f"{done.output}{say_error(done.exception)}"
    assert done.exception is None, done.exc_info
    return done.output


def sentences(answer: Any) -> str:
    """All that is told in words in an answer."""
    if isinstance(answer, dict):
        told = [
            sentences(value) if not isinstance(value, str) else value if key in TEXTS else ""
            for key, value in answer.items()
        ]
        return "\n".join(told)
    if isinstance(answer, list):
        return "\n".join(one if isinstance(one, str) and " " in one else sentences(one) for one in answer)
    return ""


def pages(pdf: bytes) -> str:
    return "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)


COMMANDS: Final = (
    ("chart", "FILE"),
    ("next", "FILE"),
    ("shot", "FILE", "--to", "62", "--wind", "4", "--wind-from", "left", "--trouble", "short:water", "--temp", "9"),
    ("recheck", "FILE", "FILE"),
    ("spread", "FILE"),
    ("wedges", "FILE"),
    ("practice", "FILE", "--seed", "1"),
    ("practice", "FILE", "--hit", "43:41,62:66"),
    ("read", "FILE"),
    ("plan",),
    ("day", "FILE", "--temp", "9", "--altitude", "600", "--slope", "3"),
)


@pytest.mark.usefixtures("made_up")
@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: " ".join(words[:3]))
def test_a_command_says_nothing_past_the_catalogue(words: tuple[str, ...]) -> None:
    told = [str(BUCKET) if word == "FILE" else word for word in words]
    assert plain_words(said(*told), TYPED | SYMBOLS) == []
    answer = json.loads(said(*told, "--json", "-"))
    assert plain_words(sentences(answer), TYPED | SYMBOLS) == []


@pytest.mark.usefixtures("made_up")
def test_typed_balls_and_doctor_say_nothing_past_the_catalogue(tmp_path: Path) -> None:
    typed = said("note", "54 waist 51 53 fat 38 5 left, pile of 10 at 44", "--unit", "m", "--by", "laser")
    assert plain_words(typed, TYPED | SYMBOLS | {"laser", "fat", "left", "pile", "of", "at"}) == []
    well = said("doctor", "--data", str(tmp_path / "data"))
    assert plain_words(well.replace(str(tmp_path), ""), SYMBOLS | {"Python", "data", "UTC"}) == []


@pytest.mark.usefixtures("made_up")
def test_prints_say_nothing_past_the_catalogue(tmp_path: Path) -> None:
    card, day = tmp_path / "card.pdf", tmp_path / "day.pdf"
    said(
        "card", str(BUCKET), "-o", str(card), "--flights", "--ball-used", "Rangeball", "--air", "kalt", "--date", "1.5."
    )
    said("day", str(BUCKET), "--temp", "9", "--wind", "5", "--wind-from", "left", "--card", str(day), "--date", "1.5.")
    balls, unit, _said = carries(BUCKET, ReadOptions())
    chart = fit_chart(balls)
    swings = [{"lead_arm_top_deg": 90.0, "lead_arm_finish_deg": 60.0}] * 4
    page = report(chart, work_on(chart, swings), player="Robin Sedge", date=datetime.date(2026, 4, 18), unit=unit)
    for pdf in (card.read_bytes(), day.read_bytes(), page):
        assert len(pages(pdf)) > 300
        months = {"Apr", "Jun"}
        assert plain_words(pages(pdf), TYPED | SYMBOLS | months) == []


@pytest.mark.usefixtures("made_up")
@pytest.mark.parametrize(
    "content",
    [
        "Club;Swing;Carry\n54;waist;50\n54;waist;51\n54;chest;x\n;;9999\n",
        "Club,Swing,Total (m)\n54,waist,50\n",
        "Club,Carry (m),Swing\n54,waist\n",
        "a,b\nc,d\n",
        "",
        "\x00\x01\x02" * 50,
    ],
)
def test_reading_a_table_says_nothing_past_the_catalogue(content: str) -> None:
    reading = read_table(content.encode(), "x.csv", ReadOptions())
    told = [
        *lines(reading.plan),
        say(reading.error or ""),
        *(say(q.text) for q in reading.questions),
        *(say(a.why) for a in reading.set_aside),
    ]
    assert any(told)
    assert plain_words("\n".join(told), TYPED | {"Total", "csv"}) == []


@pytest.mark.usefixtures("made_up")
@pytest.mark.parametrize(
    "line", ["54 waist 51 foo", "51", "54 51", "54 waist 51,53", "pile at 44", "54 waist 51 left", "54 waist 900"]
)
def test_a_line_that_is_not_understood_says_so_in_the_language(line: str) -> None:
    reading = read_notes(line, NoteOptions(unit="m"))
    assert reading.error
    assert plain_words(say(reading.error), frozenset(("54 waist 51 53 fat 38 notes " + line).split())) == []


def _swing(top_s: float, top: float, finish: float, back: float, through: float, speed: float) -> Swing:
    return Swing(
        t_takeaway_s=0.0,
        t_top_s=top_s,
        t_impact_s=1.0,
        t_finish_s=1.4,
        lead_arm_top_deg=top,
        lead_arm_finish_deg=finish,
        hand_height_top=back,
        hand_height_finish=through,
        impact_over_peak=speed,
    )


def _swings() -> SwingCheck:
    swing = _swing(0.75, 88.0, 70.0, 0.66, 0.42, 0.8)
    longer = _swing(0.7, 95.0, 115.0, 0.95, 1.3, 0.95)
    values = {"angle_deg": 12, "doubt_deg": 5, "view_deg": 70, "count": 1, "slower": 4, "factors": (2, 4), "frames": 30}
    values |= {"doubt_ms": 17, "roll_deg": 6, "tall_share": 0.2}
    filming = tuple(Message(code, **values) for code in FILMING)
    return replace(checked(swing, longer, swing, warnings=filming), struck=("practice", "ball", "unknown"))


def test_a_swing_answer_says_nothing_past_the_catalogue_and_a_kept_one_is_said_again_in_german() -> None:
    with speaking("en", MadeUp()):
        answer = json.loads(json.dumps(swings_answer(_swings(), ["chest", "9:00", "waist"])))
    assert plain_words(sentences(answer), TYPED) == []
    with language("de"):
        fresh = json.loads(json.dumps(swings_answer(_swings(), ["chest", "9:00", "waist"])))
        again = said_again(answer)
    for name in ("words", "warnings"):
        assert again[name] == fresh[name]
        assert [swing[name] for swing in again["swings"]] == [swing[name] for swing in fresh["swings"]]
    assert "gemeint chest" in " ".join(again["swings"][0]["words"])


def test_german_counts_and_writes_numbers_as_germans_do() -> None:
    from threequarter.flight.weather import Weather
    from threequarter.language import words

    with language("de"):
        assert [words.balls(count) for count in (0, 1, 2)] == ["0 Bälle", "1 Ball", "2 Bälle"]
        assert "9,5 °C" in say(Weather(temp_c=9.5, altitude_m=600).message())
        assert "Luftfeuchte" in say(Weather(humidity=50).message())
        with pytest.raises(UserError) as refused:
            Weather(temp_c=-60)
        assert "nicht −60 °C" in say_error(refused.value)
    assert words.balls(2) == "2 balls"


def test_every_help_text_has_its_german() -> None:
    german = catalogue("de")
    texts: list[str] = [*SHORT_HELP.values()]
    asked = [import_module(f"threequarter.cli.{MODULES.get(name, name)}").command for name in SHORT_HELP]
    asked += [one for command in asked if isinstance(command, click.Group) for one in command.commands.values()]
    for command in asked:
        assert command.help
        texts += [
            command.help,
            *(param.help for param in command.params if isinstance(param, click.Option) and param.help),
        ]
    assert [text for text in texts if german.gettext(text) == text] == []


@pytest.mark.parametrize(
    ("variables", "code"),
    [
        ({}, "en"),
        ({"LANG": "de_DE.UTF-8"}, "de"),
        ({"LANG": "C.UTF-8"}, "en"),
        ({"LANG": "fr_FR.UTF-8"}, "en"),
        ({"LC_ALL": "en_GB.UTF-8", "LANG": "de_DE.UTF-8"}, "en"),
        ({"LANGUAGE": "fr:de", "LANG": "en_US.UTF-8"}, "de"),
        ({"LANG": "de_AT@euro"}, "de"),
    ],
)
def test_the_system_says_which_language(variables: dict[str, str], code: str) -> None:
    assert of_environment(variables) == code


def _run(*words: str, **variables: str) -> subprocess.CompletedProcess[str]:
    clean = {
        name: value for name, value in os.environ.items() if name not in ("LANGUAGE", "LC_ALL", "LC_MESSAGES", "LANG")
    }
    return subprocess.run(
        [sys.executable, "-m", "threequarter", *words],
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
        timeout=300,
        env=clean | {"PYTHONIOENCODING": "utf-8"} | variables,
    )


def test_the_demo_speaks_german_where_the_system_does(tmp_path: Path) -> None:
    done = _run("demo", "--out", str(tmp_path), LANG="de_DE.UTF-8")
    assert done.returncode == 0, done.stderr
    for line in (
        "die Bälle sind simuliert, nicht geschlagen",
        "Carry (Yards) aus Spalte „Carry (yd)“",
        "6 Bälle",
        "Die Karte zum Mitnehmen:",
    ):
        assert line in done.stdout
    card = pages((tmp_path / "card.pdf").read_bytes())
    assert "Carry in Yards; darunter neun von zehn guten, anderer Tag" in " ".join(card.split())
    assert "3 Tage, 18.04.2026 bis 20.06.2026" in card
    picture = (tmp_path / "chart.svg").read_text(encoding="utf-8")
    assert "Carry jedes Balls und jedes Schlags (Yards)" in picture


def test_the_language_is_named_before_the_command_and_click_speaks_it_too() -> None:
    assert (
        _run("--language", "de", "chart", "nix.csv").stderr
        == "threequarter: Es gibt keine Datei nix.csv. Prüfe Namen und Ordner.\n"
    )
    assert _run("--language=de", "chart").stderr.startswith("threequarter: Fehlendes Argument")
    assert "Aufruf:" in _run("--language", "de", "plan", "--help").stdout
    assert _run("--language", "en", "chart", "nix.csv", LANG="de_DE.UTF-8").stderr.startswith(
        "threequarter: There is no file nix.csv"
    )
    refused = _run("--language", "xx", "chart", "nix.csv")
    assert refused.returncode == 2
    assert re.fullmatch(r"threequarter: .*'xx'.*\n", refused.stderr)


def test_german_prints_hold_their_umlauts_and_keep_to_their_sides(tmp_path: Path) -> None:
    with language("de"):
        day = tmp_path / "day.pdf"
        said(
            "day",
            str(BUCKET),
            "--temp",
            "9",
            "--altitude",
            "600",
            "--wind",
            "5",
            "--wind-from",
            "left",
            "--card",
            str(day),
            "--date",
            "18.04.2026",
        )
    read = pypdf.PdfReader(day)
    assert len(read.pages) == 2
    text = pages(day.read_bytes())
    assert "Rückenwind" in text
    assert "\ufffd" not in text
    fonts = {
        str(font["/BaseFont"])
        for page in read.pages
        for font in (one.get_object() for one in page["/Resources"]["/Font"].values())
    }  # type: ignore[index]
    assert all("Bitter" in name or "NotoSans" in name for name in fonts), fonts

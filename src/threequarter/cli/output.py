"""What all commands share: reading options, loading balls, writing JSON and files whole or not at all."""

import json
import os
import sys
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from threequarter.cli.looked import LOOKED
from threequarter.golf.ball import Ball
from threequarter.golf.errors import UserError
from threequarter.language.localize import N_, _

if TYPE_CHECKING:
    from threequarter.flight.weather import Weather
    from threequarter.golf.plan import Plan
    from threequarter.intake.load import FileBalls

F = TypeVar("F", bound=Callable[..., Any])

UNIT = click.option("--show", type=click.Choice(["yd", "m"]), help=N_("Unit of the answer (default: the file's own)."))
PLAN = click.option(
    "--plan",
    metavar="CLUBS:SWINGS",
    help=N_(
        'Shots to chart, hit or not: "50, 54=GW 54, 58: waist, chest". "=" comes before another name. Default: '
        "those that were hit."
    ),
)
JSON = click.option("--json", "json_to", metavar="FILE", help=N_("Write the answer as JSON; - is standard output."))
ASKED = {
    "--unit": "unit",
    "--decimal": "decimal",
    "--twins": "twins",
    "--each": "each",
    "--remarks": "remarks",
    "--across": "across",
    "--column": "said",
    "--as-read": "as_read",
    "--sheet": "sheet",
    "--right": "right",
}
ROLES_TO_SAY = tuple(
    "carry club swing player offline ball_speed launch spin note use drop pile count loft shot_label ignore".split()
)
_COLUMNS = ("carry", "club", "swing", "player", "offline", "ball-speed", "launch", "spin", "note", "use", "drop")


def reading_options(function: F) -> F:
    """The options that answer the reader's questions and correct its plan; `read_options` gathers them."""
    return _reading_options(function, "--ground")


def reading_options_beside_a_day(function: F) -> F:
    """The same for a command whose `--ground` is that of another day; where the balls ran out is `--hit-on`."""
    return _reading_options(function, "--hit-on")


def _reading_options(function: F, ground: str) -> F:
    decorators = [
        click.option("--unit", type=click.Choice(["yd", "m", "ft"]), help=N_("Unit of the distances in the file.")),
        click.option("--decimal", type=click.Choice([".", ","]), help=N_("Decimal mark of the file.")),
        click.option(
            "--twins",
            type=click.Choice(["first", "last", "middle"]),
            help=N_("Which number counts if a cell holds two, like 55-58."),
        ),
        click.option(
            "--each",
            type=click.Choice(["ball", "mean"]),
            help=N_("What each number is: one ball, or the mean of several."),
        ),
        *LOOKED,
        click.option("--sheet", help=N_("Sheet of a workbook to read.")),
        click.option("--header-line", type=int, help=N_("Line with the headings.")),
        click.option("--encoding", help=N_("Encoding of a text file.")),
        click.option("--right", type=click.Choice(["+", "-"]), help=N_("Sign of a ball right of the line.")),
        click.option(
            "--column",
            "said",
            multiple=True,
            metavar="COLUMN=ROLE",
            help=N_("What a column is, by its letter or heading: B=carry, C=swing, D=ignore (may be given again)."),
        ),
        click.option("--only-player", help=N_("Read the balls of one player only.")),
        click.option(
            "--all-swings", "swing_for_all", metavar="SWING", help=N_("Swing length, if the file names none.")
        ),
        click.option("--all-clubs", "club_for_all", metavar="CLUB", help=N_("Club, if the file names none.")),
        click.option(
            "--clock", type=click.Choice(["camera", "other"]), default="camera", help=N_("How clock times are read.")
        ),
        click.option(
            ground,
            "ground",
            type=click.Choice(["soft", "normal", "firm", "plugs"]),
            help=N_("Ground the balls ran out on, if measured at rest (default: from the file, else normal)."),
        ),
        click.option(
            "--range-balls",
            type=click.Path(path_type=Path),
            metavar="PAIRS",
            help=N_(
                "These were range balls: a text file of a few shots hit with both (range 54 chest 58 60 / own 54 chest 62 63)."
            ),
        ),
        click.option(
            "--day-weather",
            multiple=True,
            metavar="DAY: WORDS",
            help=N_(
                "Weather of one day, like '2: temp 9 altitude 600 wind 5 from ahead'; all days are brought to the same air."
            ),
        ),
    ]
    for name in reversed(_COLUMNS):
        decorators.append(
            click.option(
                f"--{name}",
                f"column_{name.replace('-', '_')}",
                metavar="COLUMN",
                hidden=name != "carry",
                help=N_("Heading or number of the column with the carry (also --club, --swing, --offline ...)."),
            )
        )
    for decorator in reversed(decorators):
        function = decorator(function)
    return function


def day_options(function: F) -> F:
    """The weather of a day, its ground, and the weather the balls were hit in."""
    decorators = [
        click.option("--temp", metavar="NUMBER", help=N_("Temperature of the day: 9, or with its unit, 48F.")),
        click.option("--altitude", metavar="NUMBER", help=N_("Altitude of the day's course: 600, or 2000ft.")),
        click.option(
            "--wind", metavar="NUMBER", help=N_("Wind of the day, as forecast (at 10 m height): 5, or 10mph.")
        ),
        click.option("--wind-from", help=N_("ahead, behind, left, right, or degrees clockwise from straight ahead.")),
        click.option("--humidity", type=float, help=N_("Relative humidity in percent.")),
        click.option("--pressure", type=float, help=N_("Pressure read at the place, hPa.")),
        click.option("--sea-level-pressure", type=float, help=N_("Pressure of a forecast, reduced to sea level, hPa.")),
        click.option(
            "--slope",
            type=float,
            default=0.0,
            help=N_("Rise of the ground towards the target in percent (downhill is negative)."),
        ),
        click.option(
            "--ground",
            "day_ground",
            type=click.Choice(["soft", "normal", "firm"]),
            default="normal",
            show_default=True,
            help=N_("Firmness of the day's greens."),
        ),
        click.option("--made-temp", metavar="NUMBER", help=N_("Temperature the balls were hit in.")),
        click.option("--made-altitude", metavar="NUMBER", help=N_("Altitude they were hit at.")),
        click.option("--made-wind", metavar="NUMBER", help=N_("Wind they were hit in.")),
        click.option("--made-wind-from", help=N_("Where that wind came from.")),
        click.option("--made-pressure", type=float, help=N_("Pressure at that place, hPa.")),
        click.option(
            "--height",
            type=click.Choice(["m", "ft"]),
            default="m",
            show_default=True,
            help=N_("Unit of altitudes and heights, typed and shown."),
        ),
        click.option(
            "--speed",
            type=click.Choice(["ms", "kmh", "mph"]),
            default="ms",
            show_default=True,
            help=N_("Unit of wind, typed and shown."),
        ),
        click.option(
            "--temperature",
            type=click.Choice(["C", "F"]),
            default="C",
            show_default=True,
            help=N_("Unit of temperatures, typed and shown."),
        ),
    ]
    for decorator in reversed(decorators):
        function = decorator(function)
    return function


def weathers(chosen: dict[str, Any]) -> tuple[Any, Any]:
    """The weather the balls were hit in and that of the day, from the arguments of a command with `day_options`.

    Takes them out of `chosen`; from here on words are in the units chosen. Raises UserError for one that cannot be.
    """
    from threequarter.golf.units import Units
    from threequarter.language import measures
    from threequarter.language.typed_weather import from_fields

    units = {name: chosen.pop(name) for name in ("height", "speed", "temperature")}
    measures.use_units(Units(**units))
    read = {"temp": measures.typed_temperature, "altitude": measures.typed_height, "wind": measures.typed_speed}
    for name, typed in read.items():
        for option in (name, f"made_{name}"):
            chosen[option] = typed(chosen[option] or "", f"--{option.replace('_', '-')}")
    take = chosen.pop
    made = from_fields(
        {
            "temp_c": take("made_temp"),
            "altitude_m": take("made_altitude"),
            "wind_mps": take("made_wind"),
            "wind_from": take("made_wind_from"),
            "pressure_hpa": take("made_pressure"),
        }
    )
    day = from_fields(
        {
            "temp_c": take("temp"),
            "altitude_m": take("altitude"),
            "wind_mps": take("wind"),
            "wind_from": take("wind_from"),
            "humidity": take("humidity"),
            "pressure_hpa": take("pressure"),
            "sea_level_hpa": take("sea_level_pressure"),
            "slope_percent": take("slope"),
        }
    )
    return made, day


def read_options(chosen: dict[str, Any]) -> Any:
    """A ReadOptions from the keyword arguments of a command that has `reading_options`."""
    from threequarter.intake.options import ReadOptions

    columns = {key[7:]: value for key, value in chosen.items() if key.startswith("column_") and value}
    ignored = []
    for told in chosen.get("said") or ():
        column, _sign, role = told.rpartition("=")
        if not column or role not in ROLES_TO_SAY:
            text = _("{told} names no column. Write its letter or heading and what it is: B=carry. It can be: {roles}.")
            raise UserError(text.format(told=told, roles=", ".join(ROLES_TO_SAY)))
        if role == "ignore":
            ignored.append(column)
        else:
            columns[role] = column
    return ReadOptions(
        unit=chosen["unit"],
        decimal=chosen["decimal"],
        twins=chosen["twins"],
        each=chosen["each"],
        remarks=chosen["remarks"],
        across=chosen["across"],
        columns=columns,
        as_read=tuple(chosen.get("as_read") or ()),
        learned=chosen.get("learned") or {},
        ignore=tuple(ignored),
        header_line=chosen["header_line"],
        sheet=chosen["sheet"],
        encoding=chosen["encoding"],
        right=chosen["right"],
        player=chosen["only_player"],
        swing=chosen["swing_for_all"],
        club=chosen["club_for_all"],
        clock=chosen["clock"],
    )


def ask_on_a_terminal(path: Path, chosen: dict[str, Any]) -> None:
    """Asks what the file leaves open and puts the answers among the options; does nothing without a terminal."""
    from threequarter.intake.load import read_any
    from threequarter.language import say

    if not (sys.stdin.isatty() and sys.stderr.isatty()):
        return
    for _try in range(4):
        open_questions = [q for q in read_any(path, read_options(chosen)).questions if q.choices and q.option in ASKED]
        if not open_questions:
            return
        first = open_questions[0]
        if first.option == "--as-read":
            if not click.confirm(say(first.text) + " " + _("Keep it as it was read?"), err=True):
                return
            chosen["as_read"] = (*(chosen.get("as_read") or ()), *first.choices)
            continue
        if first.option == "--column":
            answer = click.prompt(say(first.text), type=click.Choice(first.choices), err=True)
            chosen["said"] = (*(chosen.get("said") or ()), answer)
            continue
        chosen[ASKED[first.option]] = click.prompt(say(first.text), type=click.Choice(first.choices), err=True)


def load_file(path: Path, chosen: dict[str, Any]) -> "tuple[FileBalls, tuple[str, ...]]":
    """The balls of a file brought to carry, the days and the conditions that it tells, the unit to answer in, and what was done on the
    way, in words.

    Raises UserError where the file cannot be read, or leaves a question open.
    """
    from threequarter.intake.load import file_balls

    ask_on_a_terminal(path, chosen)
    from threequarter.language import lines, say

    found = file_balls(path, read_options(chosen), chosen["ground"])
    balls, unit = found.balls, found.unit
    said = tuple(lines(found.said, chosen.get("show") or unit))
    if chosen.get("range_balls"):
        from threequarter.intake.range_balls import read_pairs, to_own_ball

        factor = read_pairs(_text_of(chosen["range_balls"]), unit)
        balls, said = to_own_ball(balls, factor), (*said, say(factor.said()))
    found = replace(found, balls=balls, unit=chosen.get("show") or unit)
    return _in_weather(found, dict(map(_day_weather, chosen.get("day_weather") or ())), said)


def _in_weather(
    found: "FileBalls", told: "dict[int, Weather]", said: tuple[str, ...]
) -> "tuple[FileBalls, tuple[str, ...]]":
    """A file with the weather `told` of its days: of several dates the chart brings them to one air, else that is done here."""
    from threequarter.chart.one_air import to_one_air
    from threequarter.language import lines

    if not told:
        return found, said
    if len(found.dates) > 1:
        return replace(found, weathers=tuple(told.get(n, air) for n, air in enumerate(found.weathers, start=1))), said
    balls, moved = to_one_air(found.balls, told)
    return replace(found, balls=balls), (*said, *lines(moved))


def plan_of(text: str | None) -> "Plan | None":
    """The plan told by `--plan`, None without one."""
    from threequarter.golf.plan import plan_of_text

    return plan_of_text(text) if text else None


def only_player(balls: Sequence[Ball]) -> str:
    """The player of the balls where they name one only, else nothing."""
    names = {ball.player for ball in balls if ball.player}
    return names.pop() if len(names) == 1 else ""


def _text_of(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8", errors="replace")
    except OSError as error:
        raise UserError(_("{file} cannot be read: {why}.").format(file=path, why=error.strerror)) from None


def _day_weather(text: str) -> "tuple[int, Weather]":
    from threequarter.language.typed_weather import parse_weather

    day, colon, words = text.partition(":")
    if not colon or not (day.strip().isdecimal() and len(day) < 9):
        raise UserError(
            _("--day-weather wants a day and its weather, like '2: temp 9 wind 5 from ahead'; not {text!r}.").format(
                text=text
            )
        )
    return int(day), parse_weather(words)


def write_json(answer: Any, target: str) -> None:
    """Prints the answer (`-`) or writes it to a file, whole or not at all. Raises UserError where that fails."""
    text = json.dumps(answer, ensure_ascii=False, indent=1) + "\n"
    if target == "-":
        sys.stdout.write(text)
        return
    write_whole(Path(target), text.encode())


def write_whole(target: Path, content: bytes) -> None:
    """Writes a file beside its place and moves it in; on any failure the old file stays as it was. Raises UserError."""
    if target.is_dir():
        raise UserError(_("{file} is a folder. Name a file in it.").format(file=target))
    if target.exists() and not target.is_file():  # a device or a pipe is written to, never replaced by a file
        target.write_bytes(content)
        return
    handle = None
    try:
        handle, partial = tempfile.mkstemp(dir=target.parent or Path(), prefix=f".{target.name[:40]}.", suffix=".part")
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        Path(partial).chmod(0o644)
        Path(partial).replace(target)
    except OSError as error:
        if handle is not None:
            Path(partial).unlink(missing_ok=True)
        raise UserError(
            _("{file} cannot be written: {why}. Nothing was changed.").format(file=target, why=error.strerror)
        ) from error
    except BaseException:
        if handle is not None:
            Path(partial).unlink(missing_ok=True)
        raise

"""`threequarter note`: balls typed as plain words."""

import sys
from pathlib import Path

import click

from threequarter.cli.output import JSON, write_json
from threequarter.golf.errors import UserError
from threequarter.language import say
from threequarter.language.localize import N_, _


@click.command(
    help=N_(
        "Read balls from WORDS, from a file of such lines, or (-) from standard input.\n\nA club and a swing, then the distances; fat, thin, toe, heel or heavy before the number they belong to."
    ),
    epilog='Example: threequarter note "54 waist 51 53 fat 38" --unit yd --json -',
)
@click.argument("words", nargs=-1)
@click.option("--unit", type=click.Choice(["yd", "m"]), help=N_("Unit of the numbers."))
@click.option(
    "--measured",
    type=click.Choice(["carry", "rest"]),
    help=N_("Carry, or where the ball lies (default: depends on how it was measured)."),
)
@click.option(
    "--by",
    type=click.Choice(["device", "laser", "paces", "pile", "position"]),
    help=N_("What the distances were measured with."),
)
@click.option("--pace-length", type=float, help=N_("Your own step in metres (default 0.9)."))
@click.option("--calibrate", metavar="PACES,METRES", help=N_("Your paces over a known distance in metres: 112,100."))
@JSON
def command(
    words: tuple[str, ...],
    unit: str | None,
    measured: str | None,
    by: str | None,
    pace_length: float | None,
    calibrate: str | None,
    json_to: str | None,
) -> None:
    from threequarter.golf.ball import MeasuredAs, MeasuredBy
    from threequarter.intake.answer import reading_answer
    from threequarter.intake.notes.read import NoteOptions, read_notes
    from threequarter.measurement.errors import StepLength, calibrate_step, own_step

    step = StepLength()
    if calibrate:
        step = calibrate_step(*_pair(calibrate))
    elif pace_length is not None:
        step = own_step(pace_length)
    options = NoteOptions(
        unit=unit,
        measured_as=MeasuredAs(measured) if measured else None,
        by=MeasuredBy(by) if by else MeasuredBy.UNKNOWN,
        step=step,
    )
    reading = read_notes(_text(words), options, _("notes"))
    if json_to:
        write_json(reading_answer(reading, say), json_to)
    if reading.error:
        raise UserError(reading.error)
    if not json_to:
        from threequarter.cli.read import _show

        _show(reading)


def _pair(text: str) -> tuple[list[float], float]:
    try:
        paces, metres = (float(part) for part in text.replace(";", ",").split(","))
    except ValueError:
        raise UserError(
            _("--calibrate wants paces and metres, like 112,100; not {text!r}.").format(text=text)
        ) from None
    return [paces], metres


def _text(words: tuple[str, ...]) -> str:
    if not words or words == ("-",):
        return sys.stdin.read()
    if len(words) == 1 and Path(words[0]).is_file():
        return Path(words[0]).read_text(encoding="utf-8", errors="replace")
    return "\n".join(words) if any(" " in word for word in words) else " ".join(words)

"""`threequarter read`: any table of balls, and how it was read."""

import sys
from pathlib import Path
from typing import Any

import click

from threequarter.cli.output import JSON, ask_on_a_terminal, read_options, reading_options, write_json
from threequarter.golf.errors import UserError
from threequarter.golf.units import from_metres
from threequarter.language import lines, say
from threequarter.language.localize import N_, _, number

SHOWN = 12


@click.command(
    help=N_(
        "Read TABLE (CSV, text or a spreadsheet) and say how it was read.\n\nIf something is not clear, it asks; "
        "answer with the option it names."
    ),
    epilog="Example: threequarter read balls.csv --json -",
)
@click.argument("table", type=click.Path(path_type=Path))
@reading_options
@JSON
def command(table: Path, json_to: str | None, **chosen: Any) -> None:
    from threequarter.intake.answer import reading_answer
    from threequarter.intake.load import read_any

    if not json_to:
        ask_on_a_terminal(table, chosen)
    reading = read_any(table, read_options(chosen))
    if json_to:
        write_json(reading_answer(reading, say), json_to)
    if reading.error:
        raise UserError(reading.error)
    if not json_to:
        _show(reading)


def _show(reading: Any) -> None:
    click.echo(_("How {name} was read:").format(name=reading.name))
    for line in lines(reading.plan):
        click.echo(f"  - {line}")
    click.echo("")
    for ball in reading.balls[:SHOWN]:
        carry = from_metres(ball.distance_m, reading.unit)
        left_out = "" if ball.use else "  " + _("(not used)")
        count = "  " + _("pile of {count}").format(count=ball.count) if ball.count > 1 else ""
        row = _("row {row}").format(row=f"{ball.place.row:>4}")
        click.echo(f"  {row}  {ball.club:<16} {ball.swing:<14} {number(carry, 1):>6} {reading.unit}{count}{left_out}")
    if len(reading.balls) > SHOWN:
        click.echo("  " + _("... and {count} more").format(count=len(reading.balls) - SHOWN))
    if reading.set_aside:
        click.echo("\n" + _("Left out:"))
        for aside in reading.set_aside:
            text = _("sheet {sheet}, row {row}: {why}") if aside.place.sheet else _("row {row}: {why}")
            click.echo("  " + text.format(sheet=aside.place.sheet, row=aside.place.row, why=say(aside.why)))
    for question in reading.questions:
        text = _("Question: {question} Answer with {answer}") if question.option else _("Question: {question}")
        answer = f"{question.option} {'|'.join(question.choices)}"
        click.echo("\n" + text.format(question=say(question.text), answer=answer), err=not sys.stdout.isatty())

"""`threequarter read`: any table of balls, and how it was read."""

import sys
from pathlib import Path
from typing import Any

import click

from threequarter.cli.output import JSON, ask_on_a_terminal, read_options, reading_options, write_json
from threequarter.golf.errors import UserError
from threequarter.golf.units import from_metres

SHOWN = 12


@click.command(epilog="Example: threequarter read balls.csv --json -")
@click.argument("table", type=click.Path(path_type=Path))
@reading_options
@JSON
def command(table: Path, json_to: str | None, **chosen: Any) -> None:
    """Read TABLE (CSV, text or a spreadsheet) and say how it was read.

    What cannot be known is asked; answer with the option that is named.
    """
    from threequarter.intake.answer import reading_answer
    from threequarter.intake.load import read_any

    if not json_to:
        ask_on_a_terminal(table, chosen)
    reading = read_any(table, read_options(chosen))
    if json_to:
        write_json(reading_answer(reading), json_to)
    if reading.error:
        raise UserError(reading.error)
    if not json_to:
        _show(reading)


def _show(reading: Any) -> None:
    click.echo(f"How {reading.name} was read:")
    for line in reading.plan:
        click.echo(f"  - {line}")
    click.echo("")
    for ball in reading.balls[:SHOWN]:
        carry = from_metres(ball.distance_m, reading.unit)
        left_out = "" if ball.use else "  (not used)"
        count = f"  pile of {ball.count}" if ball.count > 1 else ""
        click.echo(
            f"  row {ball.place.row:>4}  {ball.club:<16} {ball.swing:<14} {carry:6.1f} {reading.unit}{count}{left_out}"
        )
    if len(reading.balls) > SHOWN:
        click.echo(f"  ... and {len(reading.balls) - SHOWN} more")
    if reading.set_aside:
        click.echo("\nSet aside:")
        for aside in reading.set_aside:
            sheet = f"sheet {aside.place.sheet}, " if aside.place.sheet else ""
            click.echo(f"  {sheet}row {aside.place.row}: {aside.why}")
    for question in reading.questions:
        answer = f" Answer with {question.option} {'|'.join(question.choices)}" if question.option else ""
        click.echo(f"\nQuestion: {question.text}{answer}", err=not sys.stdout.isatty())

"""`threequarter chart`: the distance chart of a file of balls."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from threequarter.cli.output import JSON, UNIT, load_balls, reading_options, write_json
from threequarter.golf.language import N_, _

if TYPE_CHECKING:
    from collections.abc import Sequence

    from threequarter.chart.result import Chart
    from threequarter.golf.ball import Ball
    from threequarter.golf.units import DistanceUnit


@click.command(
    help=N_("Make the distance chart from BALLS (a table, or a text file of notes)."),
    epilog="Example: threequarter chart balls.csv --json -",
)
@click.argument("balls", type=click.Path(path_type=Path))
@reading_options
@UNIT
@JSON
def command(balls: Path, json_to: str | None, **chosen: Any) -> None:
    from threequarter.answers.chart import chart_answer
    from threequarter.chart.fit import fit_chart

    read, unit, said = load_balls(balls, chosen)
    chart = fit_chart(read)
    if json_to:
        write_json({**chart_answer(chart, unit, read), "reading": list(said)}, json_to)
    else:
        show(chart, unit, read)
        for line in said:
            click.echo(_("Read: {line}").format(line=line))


def show(chart: "Chart", unit: "DistanceUnit", balls: "Sequence[Ball]") -> None:
    """Prints a chart: the table, what it means, and what to do next."""
    from rich.console import Console
    from rich.table import Table

    from threequarter.chart import meaning, mishits, next_ball
    from threequarter.language import lines, words

    table = Table(
        title=_("Stock carry in {unit}, ± 90 % doubt (next good ball), balls hit").format(unit=words.unit_word(unit)),
        title_justify="left",
    )
    table.add_column("")
    for swing in chart.swings:
        table.add_column(swing, justify="center")
    for club in chart.clubs:
        row = [club]
        for swing in chart.swings:
            cell = chart.cell(club, swing)
            hit = words.balls(cell.balls) if cell.balls else _("not hit")
            row.append(f"{words.carry(cell, unit)}\n({words.span(cell.next90_m, unit)})\n{hit}")
        table.add_row(*row, end_section=True)
    console = Console(width=max(80, 18 + 17 * len(chart.swings)), highlight=False)
    console.print(table)
    messages = [
        *mishits.told(mishits.mishits(chart, balls)),
        *meaning.told(meaning.meaning(chart)),
        *chart.checks,
        *chart.notes,
        *next_ball.advise(chart, balls).messages,
    ]
    for line in dict.fromkeys(lines(messages, unit)):
        console.print(line)

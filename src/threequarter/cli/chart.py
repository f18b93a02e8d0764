"""`threequarter chart`: the distance chart of a file of balls."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from threequarter.app.file_days import chart_of, made_of
from threequarter.cli.output import JSON, PLAN, UNIT, load_file, plan_of, reading_options, write_json
from threequarter.language.localize import N_, _

if TYPE_CHECKING:
    from threequarter.answers.answer import Answer
    from threequarter.golf.units import DistanceUnit


@click.command(
    help=N_("Make the distance chart from BALLS (a table, or a text file of notes)."),
    epilog="Example: threequarter chart balls.csv --json -",
)
@click.argument("balls", type=click.Path(path_type=Path))
@PLAN
@reading_options
@UNIT
@JSON
@click.option(
    "--warm/--cold",
    "warm",
    default=None,
    help=N_(
        "Say whether the player had hit balls before these. Cold players start a little short; the chart allows for it."
    ),
)
def command(balls: Path, json_to: str | None, warm: bool | None, plan: str | None, **chosen: Any) -> None:
    from threequarter.answers.chart import chart_answer
    from threequarter.answers.recheck import recheck_answer, recheck_lines
    from threequarter.language import lines

    read, said = load_file(balls, chosen)
    unit, made = read.unit, made_of(read)
    pooled = chart_of(read, plan_of(plan), warm=warm)
    found, held, said = pooled.answer, pooled.recheck, (*said, *lines(pooled.said, unit))
    if json_to:
        more = {"recheck": recheck_answer(held, unit)} if held else {}
        told = {**chart_answer(found.chart, unit, found.balls), **more}
        write_json(
            {**told, "hit_on": [str(one) for one in read.dates], "made_of": made, "reading": list(said)}, json_to
        )
    else:
        click.echo(made)
        show(found, unit)
        for line in recheck_lines(held, unit) if held else ():
            click.echo(line)
        for line in said:
            click.echo(_("Read: {line}").format(line=line))


def show(found: "Answer", unit: "DistanceUnit") -> None:
    """Prints a chart: the table, what it means, and what to do next."""
    from rich.console import Console
    from rich.table import Table

    from threequarter.chart import meaning, mishits
    from threequarter.language import lines, words

    chart = found.chart
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
        *mishits.told(found.mishits),
        *meaning.told(found.meaning),
        *chart.checks,
        *chart.notes,
        *found.advice.messages,
    ]
    for line in dict.fromkeys(lines(messages, unit)):
        console.print(line)

"""`threequarter next`: which ball to hit next, and when to stop."""

from pathlib import Path
from typing import Any

import click

from threequarter.cli.output import JSON, UNIT, load_balls, reading_options, write_json
from threequarter.golf.language import N_


@click.command(
    help=N_("Say which club and swing to hit next after BALLS, why, and whether the chart is good enough."),
    epilog="Example: threequarter next balls.csv --json -",
)
@click.argument("balls", type=click.Path(path_type=Path))
@reading_options
@UNIT
@JSON
def command(balls: Path, json_to: str | None, **chosen: Any) -> None:
    from threequarter.answers.chart import next_answer
    from threequarter.chart.fit import fit_chart
    from threequarter.chart.next_ball import advise, say

    read, unit, _said = load_balls(balls, chosen)
    advice = advise(fit_chart(read))
    if json_to:
        write_json(next_answer(advice, unit), json_to)
        return
    for line in say(advice, unit):
        click.echo(line)

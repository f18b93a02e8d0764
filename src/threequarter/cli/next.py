"""`threequarter next`: which ball to hit next, and when to stop."""

from pathlib import Path
from typing import Any

import click

from threequarter.app.file_days import chart_of
from threequarter.cli.output import JSON, PLAN, UNIT, load_file, plan_of, reading_options, write_json
from threequarter.language.localize import N_


@click.command(
    help=N_(
        "Say how many balls to hit next after BALLS, with which club and swing, why, and whether the chart is "
        "good enough."
    ),
    epilog="Example: threequarter next balls.csv --json -",
)
@click.argument("balls", type=click.Path(path_type=Path))
@click.option("--balls", "most_balls", type=click.IntRange(1), help=N_("Most balls to hit in this session."))
@click.option("--minutes", type=click.FloatRange(1), help=N_("Most minutes for this session."))
@click.option("--child", is_flag=True, help=N_("For a child: fewer balls in one session."))
@PLAN
@reading_options
@UNIT
@JSON
def command(
    balls: Path,
    most_balls: int | None,
    minutes: float | None,
    child: bool,
    plan: str | None,
    json_to: str | None,
    **chosen: Any,
) -> None:
    from threequarter.answers.chart import next_answer
    from threequarter.chart.next_ball import Limits
    from threequarter.language import lines

    read, _said = load_file(balls, chosen)
    limits, unit = Limits(balls=most_balls, minutes=minutes, child=child), read.unit
    advice = chart_of(read, plan_of(plan), limits=limits).answer.advice
    if json_to:
        write_json(next_answer(advice, unit), json_to)
        return
    for line in lines(advice.messages, unit):
        click.echo(line)

"""`threequarter recheck`: does an old chart still hold?"""

from pathlib import Path
from typing import Any

import click

from threequarter.cli.output import JSON, UNIT, load_balls, reading_options, write_json
from threequarter.language.localize import N_


@click.command(
    help=N_(
        "Say from the few balls of NEW whether the chart of OLD still holds, and if it moved, by how much.\n\nLook after every ball as often as you like. The bounds aim at 5 % false alarms and 10 % misses."
    ),
    epilog="Example: threequarter recheck last-year.csv today.csv",
)
@click.argument("old", type=click.Path(path_type=Path))
@click.argument("new", type=click.Path(path_type=Path))
@click.option(
    "--move",
    type=click.FloatRange(1, 30),
    default=8.0,
    show_default=True,
    help=N_("The move that must not be missed, percent."),
)
@reading_options
@UNIT
@JSON
def command(old: Path, new: Path, move: float, json_to: str | None, **chosen: Any) -> None:
    from threequarter.answers.answer import answer
    from threequarter.answers.recheck import left_out_words, recheck_answer, recheck_lines
    from threequarter.practice.recheck import recheck

    before, unit, _said = load_balls(old, dict(chosen))
    now, _unit, _said = load_balls(new, dict(chosen))
    found = recheck(answer(before).chart, now, move=move / 100)
    if json_to:
        told = {"move_looked_for_percent": move, "false_alarms": 0.05, "misses": 0.10}
        write_json({**recheck_answer(found, unit), **told}, json_to)
        return
    for line in [*recheck_lines(found, unit), left_out_words(found)]:
        if line:
            click.echo(line)

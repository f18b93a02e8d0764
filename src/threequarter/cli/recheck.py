"""`threequarter recheck`: does an old chart still hold?"""

from pathlib import Path
from typing import Any

import click

from threequarter.app.file_days import recheck_of
from threequarter.cli.output import JSON, PLAN, UNIT, load_file, plan_of, reading_options, write_json
from threequarter.language.localize import N_


@click.command(
    help=N_(
        "Say from a few balls in NEW whether the chart of OLD still holds and, if it moved, by how much. Without "
        "NEW: the newest day of OLD against the days before it.\n\nLook after every ball as often as you like. The "
        "bounds aim at 5 % false alarms and 10 % misses."
    ),
    epilog="Example: threequarter recheck last-year.csv today.csv",
)
@click.argument("old", type=click.Path(path_type=Path))
@click.argument("new", type=click.Path(path_type=Path), required=False)
@click.option(
    "--move",
    type=click.FloatRange(1, 30),
    default=8.0,
    show_default=True,
    help=N_("The smallest move you must not miss, in percent."),
)
@PLAN
@reading_options
@UNIT
@JSON
def command(old: Path, new: Path | None, move: float, plan: str | None, json_to: str | None, **chosen: Any) -> None:
    from threequarter.answers.recheck import left_out_words, recheck_answer, recheck_lines

    before, _said = load_file(old, dict(chosen))
    now = load_file(new, dict(chosen))[0] if new else None
    (found, held), unit = recheck_of(before, now, plan_of(plan), move / 100), before.unit
    if json_to:
        told = {"held": held, "move_looked_for_percent": move, "false_alarms": 0.05, "misses": 0.10}
        write_json({**recheck_answer(found, unit), **told}, json_to)
        return
    for line in [*recheck_lines(found, unit), held, left_out_words(found)]:
        if line:
            click.echo(line)

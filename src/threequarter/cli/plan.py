"""`threequarter plan`: how many balls, in which order, before the first one is hit."""

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

import click

from threequarter.cli.output import JSON, write_json
from threequarter.golf.units import METRES_PER, DistanceUnit
from threequarter.language.localize import N_, _

if TYPE_CHECKING:
    from threequarter.chart.plan import SessionPlan


@click.command(
    help=N_(
        "Say how many balls and minutes a chart will take: one wedge first, then the next.\n\nA steady player spreads 3 to 5 percent, a mid-handicapper 6 to 10 (common practice, no source)."
    ),
    epilog="Example: threequarter plan --clubs 54,60 --minutes 30 --balls 60 --full 40",
)
@click.option("--clubs", default="50,54,58", show_default=True, help=N_("Clubs, with commas between."))
@click.option(
    "--swings", default="waist,chest,shoulder", show_default=True, help=N_("Swing lengths, with commas between.")
)
@click.option(
    "--spread",
    type=float,
    default=6.8,
    show_default=True,
    help=N_("Ball-to-ball spread of the player in percent of carry."),
)
@click.option("--minutes", type=float, help=N_("Minutes you have, with talk, filming and pauses."))
@click.option("--balls", type=int, help=N_("Balls you have, warm-up included."))
@click.option("--full", type=float, help=N_("Carry of a full swing with a 54, or the wedge nearest to it."))
@click.option(
    "--unit",
    type=click.Choice(["yd", "m"]),
    default="yd",
    show_default=True,
    help=N_("Unit of --full and of the answer."),
)
@click.option("--child", is_flag=True, help=N_("For a child: fewer balls in one session."))
@JSON
def command(
    clubs: str,
    swings: str,
    spread: float,
    minutes: float | None,
    balls: int | None,
    full: float | None,
    unit: DistanceUnit,
    child: bool,
    json_to: str | None,
) -> None:
    from threequarter.chart.goal import goal_told
    from threequarter.chart.plan import plan_session
    from threequarter.language import line, lines

    plan = plan_session(
        _split(clubs),
        _split(swings),
        spread=spread / 100,
        minutes=minutes,
        balls=balls,
        child=child,
        full_m=None if full is None else full * METRES_PER[unit],
    )
    if json_to:
        told = {"words": lines(plan.messages, unit), "goal": line(goal_told(), unit), "unit": unit}
        write_json({**_answer(plan), **told}, json_to)
        return
    first, *rest = lines(plan.messages, unit)
    click.echo(first)
    click.echo(f"  {plan.warm_up:3d}  " + _("warm-up, any swing"))
    for place, one in enumerate(plan.rounds, start=1):
        click.echo(_("Round {number}").format(number=place))
        for cell in one:
            click.echo(f"  {cell.balls:3d}  {cell.club} {cell.swing}")
    for text in rest:
        click.echo(text)
    click.echo(_("Once you have hit balls, `threequarter next` says how many you really need; often fewer."))


def _answer(plan: "SessionPlan") -> dict[str, Any]:
    return {
        "warm_up": plan.warm_up,
        "cells": [asdict(cell) for cell in plan.cells],
        "rounds": [[asdict(cell) for cell in part] for part in plan.rounds],
        "left_out": [asdict(cell) for cell in plan.left_out],
        "minutes": plan.minutes,
        "balls": plan.balls,
        "enough": plan.enough,
    }


def _split(text: str) -> list[str]:
    return [part.strip() for part in text.split(",") if part.strip()]

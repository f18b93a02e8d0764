"""`threequarter plan`: how many balls, in which order, before the first one is hit."""

from dataclasses import asdict

import click

from threequarter.cli.output import JSON, write_json
from threequarter.golf.language import N_, _


@click.command(
    help=N_(
        "Say how many balls and minutes a chart will take: one wedge first, then the next.\n\nA steady player spreads 3 to 5 percent, a mid-handicapper 6 to 10 (common practice, no source)."
    ),
    epilog="Example: threequarter plan --clubs 50,54,58 --swings waist,chest,shoulder",
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
@JSON
def command(clubs: str, swings: str, spread: float, json_to: str | None) -> None:
    from threequarter.chart.next_ball import goal_words
    from threequarter.chart.plan import plan_session

    plan = plan_session(_split(clubs), _split(swings), spread=spread / 100)
    if json_to:
        write_json(
            {**asdict(plan), "balls": plan.balls, "goal": goal_words()},
            json_to,
        )
        return
    click.echo(
        _("{balls} balls, about {minutes} minutes, for a chart known to ±2 yd or ±3 %:").format(
            balls=plan.balls, minutes=plan.minutes
        )
    )
    click.echo(f"  {plan.warm_up:3d}  " + _("to warm up, any swing"))
    for cell in plan.cells:
        click.echo(f"  {cell.balls:3d}  {cell.club} {cell.swing}")
    click.echo(_("Once balls are hit, `threequarter next` says what is really needed; often fewer."))


def _split(text: str) -> list[str]:
    return [part.strip() for part in text.split(",") if part.strip()]

"""`threequarter card`: the pocket card as a PDF."""

from pathlib import Path
from typing import Any

import click

from threequarter.app.file_days import air_of, ball_of, chart_of, dates_of, made_line, weather_of
from threequarter.cli.output import (
    JSON,
    PLAN,
    UNIT,
    load_file,
    only_player,
    plan_of,
    reading_options,
    write_json,
    write_whole,
)
from threequarter.language.localize import N_, _


@click.command(
    help=N_("Write the pocket card for the chart of BALLS."),
    epilog="Example: threequarter card balls.csv -o card.pdf --name 'Robin Sedge'",
)
@click.argument("balls", type=click.Path(path_type=Path))
@click.option(
    "-o",
    "--out",
    type=click.Path(path_type=Path),
    default=Path("card.pdf"),
    show_default=True,
    help=N_("The PDF to write."),
)
@click.option(
    "--paper",
    type=click.Choice(["pocket", "a4", "letter"]),
    default="pocket",
    show_default=True,
    help=N_("One pocket-size card, or four of it on a sheet."),
)
@click.option("--name", default="", help=N_("The player's name on the card (default: from the file)."))
@click.option(
    "--date", default=None, help=N_("The date on the card (default: when the balls were hit, from the file).")
)
@click.option("--ball-used", default="", help=N_("The ball the chart was made with (default: from the file)."))
@click.option("--flights", is_flag=True, help=N_("Add a side that shows how the shots fly."))
@click.option("--air", default="", help=N_("The air it was made in, in words (default: from the file)."))
@PLAN
@reading_options
@UNIT
@JSON
def command(
    balls: Path,
    out: Path,
    paper: Any,
    name: str,
    date: str | None,
    ball_used: str,
    air: str,
    flights: bool,
    plan: str | None,
    json_to: str | None,
    **chosen: Any,
) -> None:
    from threequarter.paper.card import CardDetails, pocket_card
    from threequarter.paper.typesetting import count_pages

    read, _said = load_file(balls, chosen)
    details = CardDetails(
        player=name or only_player(read.balls),
        date=dates_of(read) if date is None else date,
        ball=ball_used or ball_of(read),
        air=air or air_of(read, brief=True),
    )
    found, unit = chart_of(read, plan_of(plan), held=False).answer, read.unit
    drawn = _flights(found, weather_of(read), unit) if flights else ""
    pdf = pocket_card(found.chart, details, unit=unit, sheet=paper, flights=drawn)
    write_whole(out, pdf)
    made = made_line(details.date, details.ball, details.air)
    if json_to:
        told = {"card": str(out), "pages": count_pages(pdf), "bytes": len(pdf), "unit": unit, "made_of": made}
        write_json(told, json_to)
        return
    click.echo(_("Wrote {file}.").format(file=out))
    click.echo(made)


def _flights(found: Any, weather: Any, unit: Any) -> str:
    from threequarter.chart.in_air import chart_in_air
    from threequarter.paper.pictures.flight_picture import flight_picture

    return flight_picture(chart_in_air(found.chart, found.balls, weather), unit, width=380)

"""`threequarter card`: the pocket card as a PDF."""

import datetime
from pathlib import Path
from typing import Any

import click

from threequarter.cli.output import JSON, UNIT, load_balls, only_player, reading_options, write_json, write_whole
from threequarter.language.localize import N_, _, day


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
@click.option("--date", default=None, help=N_("The date on the card (default: today)."))
@click.option("--ball-used", default="", help=N_("The ball the chart was made with."))
@click.option("--flights", is_flag=True, help=N_("Add a side with the flights of the shots."))
@click.option("--air", default="", help=N_("The air it was made in, in words."))
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
    json_to: str | None,
    **chosen: Any,
) -> None:
    from threequarter.chart.fit import fit_chart
    from threequarter.paper.card import CardDetails, pocket_card
    from threequarter.paper.typesetting import count_pages

    read, unit, _said = load_balls(balls, chosen)
    details = CardDetails(
        player=name or only_player(read),
        date=day(datetime.date.today()) if date is None else date,
        ball=ball_used,
        air=air,
    )
    chart = fit_chart(read)
    pdf = pocket_card(chart, details, unit=unit, sheet=paper, flights=_flights(chart, read, unit) if flights else "")
    write_whole(out, pdf)
    if json_to:
        write_json({"card": str(out), "pages": count_pages(pdf), "bytes": len(pdf), "unit": unit}, json_to)
    else:
        click.echo(_("Wrote {file}.").format(file=out))


def _flights(chart: Any, balls: Any, unit: Any) -> str:
    from threequarter.chart.in_air import chart_in_air
    from threequarter.flight.weather import Weather
    from threequarter.paper.pictures.flight_picture import flight_picture

    return flight_picture(chart_in_air(chart, balls, Weather()), unit, width=380)

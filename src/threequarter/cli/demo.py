"""`threequarter demo`: the whole job on the demo bucket, by the same road that a user's own file takes."""

from pathlib import Path
from typing import Any

import click

from threequarter.cli.output import JSON, write_json, write_whole


@click.command(epilog="Example: threequarter demo --out demo")
@click.option("--out", type=click.Path(path_type=Path, file_okay=False), default=Path("demo"), show_default=True,
              help="Folder for the card and the picture.")  # fmt: skip
@JSON
def command(out: Path, json_to: str | None) -> None:
    """Read the demo bucket, make the chart, write the card, and say what to hit next."""
    from threequarter.chart.answer import chart_answer, next_answer
    from threequarter.chart.fit import fit_chart
    from threequarter.chart.next_ball import advise
    from threequarter.cli.chart import show
    from threequarter.demo import BUCKET, SAID
    from threequarter.golf.errors import UserError
    from threequarter.intake.load import carries
    from threequarter.intake.options import ReadOptions
    from threequarter.paper.card import CardDetails, pocket_card
    from threequarter.paper.pictures.chart_picture import chart_picture

    balls, unit, said = carries(BUCKET, ReadOptions())
    chart = fit_chart(balls)
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UserError(f"The folder {out} cannot be made: {error.strerror}. Name another with --out.") from error
    card, picture, bucket = out / "card.pdf", out / "chart.svg", out / "bucket.csv"
    details = CardDetails(player="Robin Sedge", date="2026-04-18", ball="range ball", air="16 °C")
    write_whole(card, pocket_card(chart, details, unit=unit))
    write_whole(picture, chart_picture(chart, balls, unit).encode())
    write_whole(bucket, BUCKET.read_bytes())
    if json_to:
        answer: dict[str, Any] = {"chart": chart_answer(chart, unit), "next": next_answer(advise(chart), unit)}
        write_json(
            {**answer, "reading": list(said), "files": [str(card), str(picture), str(bucket)], "note": SAID}, json_to
        )
        return
    click.echo(f"{SAID}\n\nHow the file was read:")
    for line in said:
        click.echo(f"  - {line}")
    click.echo("")
    show(chart, unit)
    click.echo(f"\nThe card to carry: {card}\nThe picture:       {picture}\nThe balls:         {bucket}")
    click.echo("\nYour own file: threequarter chart FILE.csv    The pages: threequarter serve")

"""`threequarter demo`: the whole job on the demo bucket, by the same road that a user's own file takes."""

from pathlib import Path
from typing import Any

import click

from threequarter.cli.output import JSON, write_json, write_whole
from threequarter.language import lines
from threequarter.language.localize import N_, _, day


@click.command(
    help=N_("Read the demo bucket, make the chart, write the card, and say what to hit next."),
    epilog="Example: threequarter demo --out demo",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path("demo"),
    show_default=True,
    help=N_("Folder for the card and the picture."),
)
@JSON
def command(out: Path, json_to: str | None) -> None:
    from threequarter.answers.answer import answer
    from threequarter.answers.chart import chart_answer, next_answer
    from threequarter.cli.chart import show
    from threequarter.demo import BUCKET, HIT_ON, SAID
    from threequarter.golf.errors import UserError
    from threequarter.intake.load import carries
    from threequarter.intake.options import ReadOptions
    from threequarter.paper.card import CardDetails, pocket_card
    from threequarter.paper.pictures.chart_picture import chart_picture

    balls, unit, said = carries(BUCKET, ReadOptions())
    found = answer(balls)
    chart = found.chart
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UserError(
            _("The folder {out} cannot be made: {why}. Name another with --out.").format(out=out, why=error.strerror)
        ) from error
    card, picture, bucket = out / "card.pdf", out / "chart.svg", out / "bucket.csv"
    details = CardDetails(player="Robin Sedge", date=day(HIT_ON), ball=_("range ball"), air="16 °C")
    write_whole(card, pocket_card(chart, details, unit=unit))
    write_whole(picture, chart_picture(chart, balls, unit).encode())
    write_whole(bucket, BUCKET.read_bytes())
    if json_to:
        told: dict[str, Any] = {
            "chart": chart_answer(chart, unit, balls),
            "next": next_answer(found.advice, unit),
        }
        write_json(
            {**told, "reading": lines(said), "files": [str(card), str(picture), str(bucket)], "note": _(SAID)}, json_to
        )
        return
    click.echo(_(SAID) + "\n\n" + _("How the file was read:"))
    for line in lines(said):
        click.echo(f"  - {line}")
    click.echo("")
    show(found, unit)
    made = [(_("The card to carry:"), card), (_("The picture:"), picture), (_("The balls:"), bucket)]
    wide = max(len(what) for what, _file in made)
    click.echo("\n" + "\n".join(f"{what:{wide}s} {file}" for what, file in made))
    click.echo("\n" + _("Your own file: threequarter chart FILE.csv    The pages: threequarter serve"))

"""`threequarter demo`: the whole job on the demo's three days, by the same road that a user's own files take."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from threequarter.cli.output import JSON, write_json, write_whole
from threequarter.language import lines
from threequarter.language.localize import N_, _

if TYPE_CHECKING:
    from threequarter.app.provenance import Made
    from threequarter.golf.message import Message
    from threequarter.practice.pooled import DayBalls


@click.command(
    help=N_(
        "Read an invented player's three days, make the chart, say whether it held and what to hit next, and write the card."
    ),
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
    from threequarter.answers.answer import Answer
    from threequarter.answers.chart import chart_answer, next_answer
    from threequarter.answers.recheck import recheck_answer, recheck_lines
    from threequarter.app.provenance import ball_words, chart_words, dates_words
    from threequarter.cli.chart import show
    from threequarter.demo import BUCKET, LATER, PLAYER, SAID
    from threequarter.golf.errors import UserError
    from threequarter.golf.plan import plan_of_balls
    from threequarter.language import say
    from threequarter.paper.card import CardDetails, pocket_card
    from threequarter.paper.pictures.chart_picture import chart_picture
    from threequarter.practice.pooled import pool
    from threequarter.practice.standing import air_of, recheck_newest

    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UserError(
            _("The folder {out} cannot be made: {why}. Name another with --out.").format(out=out, why=error.strerror)
        ) from error
    days, made, said = _three_days()
    pooled, held, air = pool(days), recheck_newest(days), air_of([(one.day, one.weather) for one in days])
    assert held is not None
    moved = held.verdict == "moved"
    found = Answer(plan=plan_of_balls(pooled.balls), balls=pooled.balls, chart=pooled.chart, moved=moved)
    details = CardDetails(
        player=PLAYER, date=dates_words([one for one, *_rest in made]), ball=ball_words(made), air=say(air.brief())
    )
    files = [out / name for name in ("card.pdf", "chart.svg", BUCKET.name, *(day.file.name for day in LATER))]
    write_whole(files[0], pocket_card(found.chart, details, unit="yd"))
    write_whole(files[1], chart_picture(found.chart, found.balls, "yd").encode())
    for source, target in zip([BUCKET, *(day.file for day in LATER)], files[2:], strict=True):
        write_whole(target, source.read_bytes())
    if json_to:
        told: dict[str, Any] = {
            "chart": chart_answer(found.chart, "yd", found.balls),
            "next": next_answer(found.advice, "yd"),
            "recheck": recheck_answer(held, "yd"),
            "made_of": chart_words(made, air, standing=True),
        }
        write_json({**told, "reading": lines(said), "files": [str(file) for file in files], "note": _(SAID)}, json_to)
        return
    click.echo(_(SAID) + "\n\n" + _("How the table of the first day was read:"))
    for line in lines(said):
        click.echo(f"  - {line}")
    click.echo("\n" + chart_words(made, air, standing=True) + "\n")
    show(found, "yd")
    told_held = _("Does it still hold? The newest day ({newest}) against the days before it ({before}):").format(
        newest=dates_words([made[-1][0]]), before=dates_words([one for one, *_rest in made[:-1]])
    )
    click.echo("\n" + "\n  ".join([told_held, *recheck_lines(held, "yd")]) + "\n")
    named = [_("The card to carry:"), _("The picture:"), _("The balls:")]
    wide = max(len(what) for what in named)
    balls = ", ".join(map(str, files[2:]))
    for what, file in zip(named, [*files[:2], balls], strict=True):
        click.echo(f"{what:{wide}s} {file}")
    click.echo("\n" + _("Your own file: threequarter chart FILE.csv    The pages: threequarter serve"))


def _three_days() -> "tuple[list[DayBalls], list[Made], tuple[Message, ...]]":
    """The demo's days, what each was made of, and how the table of the first was read."""
    from threequarter.app.provenance import HitOn
    from threequarter.demo import BALL, BUCKET, LATER
    from threequarter.flight.weather import Weather
    from threequarter.golf.ball import Carried
    from threequarter.intake.answer import sure_balls
    from threequarter.intake.load import read_any
    from threequarter.intake.notes.read import NoteOptions, read_notes
    from threequarter.intake.options import ReadOptions
    from threequarter.measurement.carry import to_carry
    from threequarter.practice.pooled import DayBalls
    from threequarter.store.balls.phone_ball_parser import ball_of, told_of
    from threequarter.store.results import Facts

    first = read_any(BUCKET, ReadOptions())
    held_on = first.days[0]
    assert held_on is not None
    balls: dict[Any, tuple[Carried, ...]] = {held_on: to_carry(sure_balls(first))[0]}
    weather = {held_on: Weather(temp_c=first.conditions["temp_c"])}
    for day in LATER:
        typed = read_notes(day.file.read_text(encoding="utf-8"), NoteOptions(unit="yd")).balls
        balls[day.held_on] = to_carry([ball_of(told_of(ball, "")) for ball in typed])[0]
        weather[day.held_on] = Weather(temp_c=day.temp_c)
    made: list[Made] = [(HitOn(day), Facts(ball_kind=_(BALL)), weather[day]) for day in balls]
    return [DayBalls(day=day, balls=held, weather=weather[day]) for day, held in balls.items()], made, first.plan

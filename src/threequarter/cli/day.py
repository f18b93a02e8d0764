"""`threequarter day`: the chart moved to another day's air, wind, slope and ground; and the day card."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from threequarter.app.file_days import chart_of, made_in, made_of
from threequarter.cli.output import (
    JSON,
    PLAN,
    UNIT,
    day_options,
    load_file,
    only_player,
    plan_of,
    reading_options_beside_a_day,
    weathers,
    write_json,
    write_whole,
)
from threequarter.language.localize import N_, _

if TYPE_CHECKING:
    from threequarter.chart.day import DayChart, Effect
    from threequarter.golf.units import DistanceUnit


@click.command(
    help=N_(
        "Move the chart of BALLS to another day: cold, altitude, wind, slope, firm or soft greens.\n\nOnly the "
        "differences come from physics; the measured carry stays the anchor. Make it the night before, from a forecast."
    ),
    epilog="Example: threequarter day balls.csv --temp 9 --altitude 600 --wind 5 --wind-from ahead --card day.pdf",
)
@click.argument("balls", type=click.Path(path_type=Path))
@day_options
@click.option("--card", type=click.Path(path_type=Path), help=N_("Write the day card to this PDF."))
@click.option("--name", default="", help=N_("The player's name on the card (default: from the file)."))
@click.option("--date", default="", help=N_("The day the card is for."))
@PLAN
@reading_options_beside_a_day
@UNIT
@JSON
def command(
    balls: Path,
    card: Path | None,
    name: str,
    date: str,
    day_ground: Any,
    plan: str | None,
    json_to: str | None,
    **chosen: Any,
) -> None:
    from threequarter.answers.day import day_answer
    from threequarter.chart.day import effects, move_chart, shown_shots
    from threequarter.language.measures import units_in_use

    made, weather = weathers(chosen)
    file, said = load_file(balls, chosen)
    asked, unit = chart_of(file, plan_of(plan), held=False).answer, file.unit
    made = made_in(file, made)
    chart, read = asked.chart, asked.balls
    day = move_chart(chart, read, made, weather, firmness=day_ground)
    shots = shown_shots(chart)
    found = effects(chart, read, weather, shots, units=units_in_use())
    hit = made_of(file, made)
    if card:
        from threequarter.paper.day_card import day_card

        write_whole(card, day_card(day, found, shots, player=name or only_player(read), date=date, unit=unit))
    if json_to:
        told = {**day_answer(day, found, shots, unit), "hit_on": [str(one) for one in file.dates], "made_of": hit}
        write_json({**told, "reading": list(said)}, json_to)
        return
    click.echo(hit)
    show(day, found, shots, unit)
    if card:
        click.echo(_("Wrote {file}.").format(file=card))


def show(day: "DayChart", effects: "tuple[Effect, ...]", shots: list[int], unit: "DistanceUnit") -> None:
    """Prints the day: before and after, what single things add, what is not corrected."""
    from rich.console import Console
    from rich.table import Table

    from threequarter.answers.day import effect_words, say_cell
    from threequarter.chart.day import EFFECT_DOUBT, RULE
    from threequarter.golf.message import Message
    from threequarter.language import line, lines, say, words

    console = Console(width=110, highlight=False)
    console.print(_("Made in: {weather}.").format(weather=say(day.made.message())))
    told = _("The day: {weather}; greens {greens}.")
    console.print(told.format(weather=say(day.day.message()), greens=say(Message(f"ground.{day.firmness}"))) + "\n")
    for cell in day.cells:
        console.print("  " + say_cell(cell, unit))
    table = Table(
        title=_("What the day adds and takes off, in {unit} (side: aim the other way)").format(
            unit=words.unit_word(unit)
        ),
        title_justify="left",
    )
    table.add_column("")
    for i in shots:
        table.add_column(words.shot(day.cells[i].before), justify="right")
    for effect in effects:
        table.add_row(line(effect.name, unit), *effect_words(effect, unit))
    console.print(table)
    for note in lines((EFFECT_DOUBT, *day.notes, RULE), unit):
        console.print(note)

"""`threequarter shot`: which shot for a number, a wind and a green; for practice and planning."""

from pathlib import Path
from typing import Any

import click

from threequarter.app.file_days import chart_of, made_in
from threequarter.cli.output import (
    JSON,
    PLAN,
    UNIT,
    day_options,
    load_file,
    plan_of,
    reading_options_beside_a_day,
    weathers,
    write_json,
)
from threequarter.golf.units import METRES_PER
from threequarter.language.localize import N_, _, number


@click.command(
    help=N_(
        "Play every shot of the chart of BALLS to one green many thousand times, and say which is best and how "
        "sure that is."
    ),
    epilog="Example: threequarter shot balls.csv --to 62 --pin back --ground firm --wind 4 --wind-from left",
)
@click.argument("balls", type=click.Path(path_type=Path))
@click.option("--to", "to", type=float, required=True, help=N_("Distance to the flag, in the unit of the answer."))
@click.option(
    "--pin", default="middle", show_default=True, help=N_("front, middle, back, or metres from the front edge.")
)
@click.option("--green", "green_ground", type=click.Choice(["soft", "normal", "firm"]), help=N_("Same as --ground."))
@click.option("--green-depth", type=float, help=N_("Depth of the green in metres (default 25)."))
@click.option("--green-width", type=float, help=N_("Width of the green in metres."))
@click.option(
    "--trouble",
    multiple=True,
    help=N_("short, long, left or right; with :sand, :water or :rough. Repeat it for several."),
)
@click.option(
    "--lie",
    type=click.Choice(["fairway", "wet", "rough", "bare"]),
    default="fairway",
    show_default=True,
    help=N_("The lie."),
)
@click.option(
    "--level",
    type=click.Choice(["expert", "club", "newer"]),
    default="club",
    show_default=True,
    help=N_("Level of play behind expected strokes."),
)
@click.option(
    "--picture", type=click.Path(path_type=Path), help=N_("Write a picture of where the balls finish to this SVG.")
)
@click.option("--seed", type=int, default=1, hidden=True)
@day_options
@PLAN
@reading_options_beside_a_day
@UNIT
@JSON
def command(
    balls: Path,
    to: float,
    pin: str,
    green_ground: Any,
    green_depth: float | None,
    green_width: float | None,
    trouble: tuple[str, ...],
    lie: Any,
    level: Any,
    picture: Path | None,
    seed: int,
    day_ground: Any,
    plan: str | None,
    json_to: str | None,
    **chosen: Any,
) -> None:
    import numpy as np

    from threequarter.answers.shot import shot_answer
    from threequarter.choice.green_words import green_of
    from threequarter.choice.shot import choose
    from threequarter.choice.today import shot_models
    from threequarter.golf.message import Message
    from threequarter.language import say

    made, weather = weathers(chosen)
    file, said = load_file(balls, chosen)
    unit, made = file.unit, made_in(file, made)
    to_m = to * METRES_PER[unit]
    green = green_of(to_m, pin=pin, depth_m=green_depth, width_m=green_width, trouble=trouble)
    found = chart_of(file, plan_of(plan), held=False).answer
    models, moved = shot_models(
        found.chart, found.balls, made, weather, firmness=green_ground or day_ground, lie=lie, to_m=to_m
    )
    options = choose(models, green, level=level, rng=np.random.default_rng(seed))
    told = _("The day: {weather}; greens {greens}; lie {lie}.").format(
        weather=say(weather.message()),
        greens=say(Message(f"ground.{green_ground or day_ground}")),
        lie=say(Message(f"lie.{lie}")),
    )
    notes: list[Message | str] = [told, *moved.notes]
    answer = shot_answer(options, green, unit, level, notes)
    if picture:
        from threequarter.cli.output import write_whole
        from threequarter.paper.pictures.green_picture import green_picture

        write_whole(picture, green_picture(options, green, unit).encode())
    if json_to:
        write_json({**answer, "reading": list(said)}, json_to)
        return
    for line in answer["words"]:
        click.echo(line)
    for place, option in enumerate((answer["options"][at] for at in answer["shown"]), start=1):
        tied = "  " + _("(as good as the best, as far as we know)") if place > 1 and option["tied_with_best"] else ""
        click.echo(f"{place}. {option['club']} {option['swing']}: {option['why']}{tied}")
        strokes = _("{strokes} strokes").format(strokes=number(option["expected_strokes"], 2))
        click.echo(f"   {option['words']}; {strokes}")
    for line in answer["notes"]:
        click.echo(line)

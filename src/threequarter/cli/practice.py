"""`threequarter practice`: numbers to call, and the score of a test against the player's own spread."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from threequarter.app.file_days import chart_of
from threequarter.cli.output import JSON, PLAN, UNIT, load_file, plan_of, reading_options, write_json
from threequarter.golf.errors import UserError
from threequarter.golf.units import METRES_PER, DistanceUnit, from_metres
from threequarter.language import say
from threequarter.language.localize import N_, _, number

if TYPE_CHECKING:
    from threequarter.chart.result import Chart


@click.command(
    help=N_(
        "Call numbers in random order, one ball each, over the chart of BALLS; or score the balls you hit "
        "(--hit).\n\nA score of 1 is the average miss from the player's own spread, never a professional's."
    ),
    epilog="Example: threequarter practice balls.csv --balls 12; then --hit 43:41,62:66 for the score",
)
@click.argument("balls", type=click.Path(path_type=Path))
@click.option(
    "--balls", "count", type=click.IntRange(1, 200), default=12, show_default=True, help=N_("Balls in the test.")
)
@click.option("--seed", type=int, default=None, help=N_("Seed, to call the same numbers again."))
@click.option("--hit", help=N_("Called and hit, with commas: 43:41,62:66. Scores the test."))
@PLAN
@reading_options
@UNIT
@JSON
def command(
    balls: Path, count: int, seed: int | None, hit: str | None, plan: str | None, json_to: str | None, **chosen: Any
) -> None:
    read, _said = load_file(balls, chosen)
    chart, unit = chart_of(read, plan_of(plan), held=False).answer.chart, read.unit
    if hit is None:
        _call(chart, count, seed, unit, json_to)
    else:
        _score(chart, hit, unit, json_to)


def _call(chart: "Chart", count: int, seed: int | None, unit: DistanceUnit, json_to: str | None) -> None:
    """Says the numbers to play; the shot is the player's to choose."""
    import numpy as np

    from threequarter.golf.message import Message
    from threequarter.practice.call import call_numbers

    targets = [
        {
            "carry": round(from_metres(t.carry_m, unit)),
            "club": t.club,
            "swing": t.swing,
            "possible_miss": round(from_metres(t.possible_miss_m, unit), 1),
        }
        for t in call_numbers(chart, count, np.random.default_rng(seed))
    ]
    why = say(Message("practice.why"))
    if json_to:
        write_json({"unit": unit, "targets": targets, "why": why}, json_to)
        return
    for place, target in enumerate(targets, start=1):
        click.echo(f"{place:3d}. " + _("carry {carry} {unit}").format(carry=target["carry"], unit=unit))
    click.echo(why)


def _score(chart: "Chart", hit: str, unit: DistanceUnit, json_to: str | None) -> None:
    """Scores what was called and where it ended against the player's own spread."""
    import numpy as np

    from threequarter.practice.call import CalledBall, score_test, target_for
    from threequarter.practice.progress import progress

    metres = METRES_PER[unit]
    done = [
        CalledBall(target=target_for(chart, called * metres), ended_m=ended * metres) for called, ended in _pairs(hit)
    ]
    result, over_time = score_test(done, np.random.default_rng(3)), progress([ball.score for ball in done])
    answer: dict[str, Any] = {
        "unit": unit,
        "balls": result.balls,
        "score": round(result.score, 3),
        "score90": [round(result.score90.low, 3), round(result.score90.high, 3)],
        "mean_miss": round(from_metres(result.miss_m, unit), 2),
        "bias": round(from_metres(result.bias_m, unit), 2),
        "improved": over_time.word,
        "balls_to_tell": over_time.balls_to_tell,
        "each": [
            {
                "called": round(from_metres(b.target.carry_m, unit), 1),
                "ended": round(from_metres(b.ended_m, unit), 1),
                "score": round(b.score, 2),
            }
            for b in done
        ],
    }
    if json_to:
        write_json(answer, json_to)
        return
    click.echo(
        _("{balls} balls: score {score} ({low} to {high}); 1 is your own usual miss, less is better.").format(
            balls=result.balls,
            score=number(result.score, 2),
            low=number(result.score90.low, 2),
            high=number(result.score90.high, 2),
        )
    )
    text = (
        _("Mean miss {miss} {unit}; the middle ball ended {bias} {unit} long.")
        if answer["bias"] > 0
        else _("Mean miss {miss} {unit}; the middle ball ended {bias} {unit} short.")
    )
    click.echo(text.format(miss=number(answer["mean_miss"], None), unit=unit, bias=number(abs(answer["bias"]), None)))
    click.echo(_("Better or luck? {word}.").format(word=say(over_time.verdict)))


def _pairs(text: str) -> list[tuple[float, float]]:
    pairs = []
    for part in text.split(","):
        called, colon, ended = part.partition(":")
        try:
            pairs.append((float(called), float(ended)))
        except ValueError:
            raise UserError(
                _("Write each ball as called:hit, like 43:41; not {ball!r}.").format(ball=part.strip())
            ) from None
        if not colon:
            raise UserError(_("Write each ball as called:hit, like 43:41; not {ball!r}.").format(ball=part.strip()))
    return pairs

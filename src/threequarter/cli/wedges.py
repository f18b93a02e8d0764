"""`threequarter wedges`: which lofts leave the fewest and smallest gaps."""

from pathlib import Path
from typing import Any

import click

from threequarter.app.file_days import chart_of
from threequarter.cli.output import JSON, PLAN, UNIT, load_file, plan_of, reading_options, write_json
from threequarter.golf.errors import UserError
from threequarter.golf.units import METRES_PER, DistanceUnit, from_metres
from threequarter.language.localize import N_, _, number


@click.command(
    help=N_(
        "Find the lofts that best cover the numbers you face, with the swing lengths of your own chart from BALLS."
    ),
    epilog="Example: threequarter wedges balls.csv --have 46,50,54,58 --from 30 --to 110",
)
@click.argument("balls", type=click.Path(path_type=Path))
@click.option("--have", help=N_("Lofts in the bag now, with commas (default: those in the file)."))
@click.option("--keep", help=N_("Lofts that must stay, with commas."))
@click.option("--from", "from_", type=float, help=N_("Shortest number you face (default: your shortest stock carry)."))
@click.option("--to", type=float, help=N_("Longest number you face (default: your longest stock carry)."))
@click.option("--most", type=int, default=5, show_default=True, help=N_("Most wedges; 14 clubs in all (Rule 4.1b)."))
@click.option(
    "--level",
    type=click.Choice(["expert", "club", "newer"]),
    default="club",
    show_default=True,
    help=N_("Level of play behind expected strokes."),
)
@PLAN
@reading_options
@UNIT
@JSON
def command(
    balls: Path,
    have: str | None,
    keep: str | None,
    from_: float | None,
    to: float | None,
    most: int,
    level: Any,
    plan: str | None,
    json_to: str | None,
    **chosen: Any,
) -> None:
    from threequarter.choice.wedges import advise_wedges

    read, _said = load_file(balls, chosen)
    unit = read.unit
    metres = METRES_PER[unit]
    advice = advise_wedges(
        chart_of(read, plan_of(plan), held=False).answer.chart,
        have=_lofts(have),
        fixed=_lofts(keep),
        most=most,
        level=level,
        from_m=None if from_ is None else from_ * metres,
        to_m=None if to is None else to * metres,
    )

    found = _found(advice, unit)
    if json_to:
        write_json(found, json_to)
    else:
        _say(found, unit)


def _answer(one: Any, unit: DistanceUnit) -> dict[str, Any]:
    return {
        "lofts": list(one.lofts),
        "share_in_gaps": round(one.gaps, 6),
        "share_in_gaps90": [round(one.gaps90.low, 6), round(one.gaps90.high, 6)],
        "share_in_holes": round(one.gaps, 6),
        "share_in_holes90": [round(one.gaps90.low, 6), round(one.gaps90.high, 6)],
        "mean_gap": round(from_metres(one.miss_m, unit), 2),
        "expected_strokes": round(one.strokes, 4),
        "expected_strokes90": [round(one.strokes90.low, 4), round(one.strokes90.high, 4)],
    }


def _worth(one: Any) -> dict[str, Any] | None:
    ends = one and [round(one.strokes90.low, 4), round(one.strokes90.high, 4)]
    return one and {"lofts": list(one.lofts), "strokes": round(one.strokes, 4), "strokes90": ends}


def _found(advice: Any, unit: DistanceUnit) -> dict[str, Any]:
    """The contract of the command: what is carried now, the best sets, what one wedge more or less is worth."""
    from threequarter.choice.wedges import worth_told
    from threequarter.language import lines

    worths = (("wedges.one_more", advice.one_more), ("wedges.one_less", advice.one_less))
    return {
        "unit": unit,
        "from": round(from_metres(advice.from_m, unit), 1),
        "to": round(from_metres(advice.to_m, unit), 1),
        "now": _answer(advice.now, unit),
        "best": [_answer(one, unit) for one in advice.best],
        "one_more_saves": _worth(advice.one_more),
        "one_less_costs": _worth(advice.one_less),
        "words": lines([worth_told(code, one) for code, one in worths if one is not None], unit),
        "notes": [
            _("At most 14 clubs (Rule 4.1b)."),
            _("Lofts only, worked out from the chart's own line: try a loft before you buy it."),
        ],
    }


def _say(found: dict[str, Any], unit: DistanceUnit) -> None:
    click.echo(
        _("Numbers from {low} to {high} {unit}, all equally often.").format(
            low=number(found["from"]), high=number(found["to"]), unit=unit
        )
    )
    best = _("best {count}")
    for name, one in [(_("now"), found["now"]), *((best.format(count=len(b["lofts"])), b) for b in found["best"])]:
        lofts = ", ".join(map(str, one["lofts"]))
        click.echo(
            f"  {name:7s} {lofts:22s} "
            + _("{share} % of the numbers in a gap").format(share=f"{100 * one['share_in_gaps']:3.0f}")
        )
    for line in found["words"]:
        click.echo(line)
    for note in found["notes"]:
        click.echo(note)


def _lofts(text: str | None) -> list[float]:
    if not text:
        return []
    try:
        return [float(part) for part in text.split(",")]
    except ValueError:
        raise UserError(
            _("Write lofts as numbers with commas between, like 46,50,54,58; not {text!r}.").format(text=text)
        ) from None

"""`threequarter spread`: where a player's spread comes from."""

import json
from pathlib import Path
from typing import Any

import click

from threequarter.app.file_days import chart_of
from threequarter.cli.output import JSON, PLAN, UNIT, load_file, plan_of, reading_options, write_json
from threequarter.golf.errors import UserError
from threequarter.language import lines
from threequarter.language.localize import N_, _, number


@click.command(
    help=N_(
        "Split the carry spread of BALLS into swing length, tempo and strike, using the swings filmed with "
        "them.\n\nWithout clips: how the spread differs by club and swing."
    ),
    epilog="Example: threequarter spread balls.csv --swings swings.json",
)
@click.argument("balls", type=click.Path(path_type=Path))
@click.option(
    "--swings",
    type=click.Path(path_type=Path),
    help=N_("Swings of the same balls, as `threequarter swing --json` writes them."),
)
@PLAN
@reading_options
@UNIT
@JSON
def command(balls: Path, swings: Path | None, plan: str | None, json_to: str | None, **chosen: Any) -> None:
    from threequarter.chart.mishits import pooled_share
    from threequarter.practice.spread import join, spread_shares

    read, _said = load_file(balls, chosen)
    found, unit = chart_of(read, plan_of(plan), held=False).answer, read.unit
    chart = found.chart
    cells: list[dict[str, Any]] = [
        {
            "club": c.club,
            "swing": c.swing,
            "spread_percent": round(100 * c.good_sd_m / c.stock_carry_m, 2),
            "balls": c.balls,
        }
        for c in chart.cells
        if c.balls
    ]
    answer: dict[str, Any] = {"unit": unit, "cells": cells, "mishit_rate": round(pooled_share(chart) or 0.0, 3)}
    if swings:
        parted = spread_shares(chart, join(found.balls, _swings(swings)))
        answer |= {
            "pairs": parted.pairs,
            "spread_percent": round(100 * parted.spread, 2),
            "words": lines(parted.messages, unit),
            "shares": [
                {
                    "of": s.name,
                    "share": round(s.share, 3),
                    "share90": [round(s.share90.low, 3), round(s.share90.high, 3)],
                }
                for s in parted.shares
            ],
        }
    else:
        widest, narrowest = max(cells, key=lambda c: c["spread_percent"]), min(cells, key=lambda c: c["spread_percent"])
        answer["words"] = [
            _("Spread from {low} % ({narrowest}) to {high} % ({widest}).").format(
                low=number(narrowest["spread_percent"], 1),
                narrowest=f"{narrowest['club']} {narrowest['swing']}",
                high=number(widest["spread_percent"], 1),
                widest=f"{widest['club']} {widest['swing']}",
            ),
            _("To see whether it is swing length, tempo or strike, film the same balls: --swings."),
        ]
    if json_to:
        write_json(answer, json_to)
        return
    for line in answer["words"]:
        click.echo(line)


def _swings(path: Path) -> list[Any]:
    try:
        told = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise UserError(_("{file} cannot be read: {why}.").format(file=path, why=error.strerror)) from None
    except ValueError:
        raise UserError(_("{file} is not JSON.").format(file=path)) from None
    found = told.get("swings") if isinstance(told, dict) else told
    if not isinstance(found, list) or not all(isinstance(swing, dict) for swing in found):
        raise UserError(_('{file} holds no "swings".').format(file=path))
    return found

"""`threequarter fly`: flights from launches."""

import json
from pathlib import Path

import click

from threequarter.cli.output import JSON, write_json
from threequarter.golf.errors import UserError
from threequarter.language import say
from threequarter.language.localize import N_, _, number


@click.command(
    help=N_(
        "Compute the flights of LAUNCHES, a JSON list of records.\n\nspeed_ms, launch_deg and spin_rpm are required; azimuth_deg, axis_deg, wind_ms, wind_to_deg, temp_c, rh and altitude_m have defaults. Bad records are listed by id; the good ones are flown."
    ),
    epilog="Example: threequarter fly launches.json --model smits-smith-1994 --json -",
)
@click.argument("launches", type=click.Path(path_type=Path))
@click.option("--model", help=N_("Aerodynamic model (default: the one believed for wedges)."))
@JSON
def command(launches: Path, model: str | None, json_to: str | None) -> None:
    from threequarter.flight.launches import fly_records

    try:
        records = json.loads(launches.read_text(encoding="utf-8"))
    except OSError as error:
        raise UserError(_("{file} cannot be read: {why}.").format(file=launches, why=error.strerror)) from error
    except ValueError as error:
        raise UserError(_("{file} is not JSON: {error}.").format(file=launches, error=error)) from error
    if not isinstance(records, list):
        raise UserError(
            _("{file} must hold a list of launches, not a {kind}.").format(file=launches, kind=type(records).__name__)
        )
    answers, bad = fly_records(records, model)
    if json_to:
        write_json(answers, json_to)
    else:
        for a in answers:
            click.echo(
                _(
                    "{id}: carry {carry_m} m, side {side_m} m, apex {apex_m} m, {time_s} s, lands at {descent_deg} degrees with {land_speed_ms} m/s"
                ).format(
                    id=a["id"],
                    carry_m=number(a["carry_m"], 2),
                    side_m=number(a["side_m"], 2, sign=True),
                    apex_m=number(a["apex_m"], 1),
                    time_s=number(a["time_s"], 2),
                    descent_deg=number(a["descent_deg"], 1),
                    land_speed_ms=number(a["land_speed_ms"], 1),
                )
            )
    for row in bad:
        click.echo(_("launch {id}: {error}").format(id=row["id"], error=say(row["error"])), err=True)
    if bad and not answers:
        raise UserError(_("No launch could be flown."))

"""`threequarter fly`: flights from launches."""

import json
from pathlib import Path

import click

from threequarter.cli.output import JSON, write_json
from threequarter.golf.errors import UserError


@click.command(epilog="Example: threequarter fly launches.json --model smits-smith-1994 --json -")
@click.argument("launches", type=click.Path(path_type=Path))
@click.option("--model", help="Aerodynamic model (default: the one believed for wedges).")
@JSON
def command(launches: Path, model: str | None, json_to: str | None) -> None:
    """Compute the flights of LAUNCHES, a JSON list of records.

    speed_ms, launch_deg and spin_rpm are needed; azimuth_deg, axis_deg, wind_ms, wind_to_deg, temp_c, rh and altitude_m
    have the usual values. Bad records are told by their id; the good ones are answered.
    """
    from threequarter.flight.launches import fly_records

    try:
        records = json.loads(launches.read_text(encoding="utf-8"))
    except OSError as error:
        raise UserError(f"{launches} cannot be read: {error.strerror}.") from error
    except ValueError as error:
        raise UserError(f"{launches} is no JSON: {error}.") from error
    if not isinstance(records, list):
        raise UserError(f"{launches} must hold a list of launches, not a {type(records).__name__}.")
    answers, bad = fly_records(records, model)
    if json_to:
        write_json(answers, json_to)
    else:
        for a in answers:
            click.echo(
                f"{a['id']}: carry {a['carry_m']:.2f} m, side {a['side_m']:+.2f} m, apex {a['apex_m']:.1f} m, {a['time_s']:.2f} s,"
                f" lands at {a['descent_deg']:.1f} degrees with {a['land_speed_ms']:.1f} m/s"
            )
    for row in bad:
        click.echo(f"launch {row['id']}: {row['error']}", err=True)
    if bad and not answers:
        raise UserError("no launch could be flown.")

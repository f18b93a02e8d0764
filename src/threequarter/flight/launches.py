"""Launches as plain records -> landings as plain records; bad ones are told by their id, good ones answered."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

import numpy as np

from threequarter.flight.aero import DEFAULT, MODELS
from threequarter.flight.air import density_kg_m3, standard_pressure_pa, viscosity_pa_s
from threequarter.flight.trajectory import Launches, fly
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message

FIELDS: Final[dict[str, tuple[float | None, float, float, str]]] = {
    "speed_ms": (None, 1.0, 100.0, "m/s"),
    "launch_deg": (None, 1.0, 85.0, "degrees"),
    "azimuth_deg": (0.0, -90.0, 90.0, "degrees"),
    "spin_rpm": (None, 0.0, 15_000.0, "rpm"),
    "axis_deg": (0.0, -60.0, 60.0, "degrees"),
    "wind_ms": (0.0, 0.0, 40.0, "m/s"),
    "wind_to_deg": (0.0, -360.0, 720.0, "degrees"),
    "temp_c": (15.0, -40.0, 55.0, "C"),
    "rh": (0.5, 0.0, 1.0, ""),
    "altitude_m": (0.0, -500.0, 6000.0, "m"),
}
"""Field -> value where it is not given (None: it must be), least, most, unit."""


def problems(record: Any) -> Message | None:
    """What is wrong with a launch, or None."""
    if not isinstance(record, Mapping):
        return Message("launches.no_record")
    for name, (usual, least, most, unit) in FIELDS.items():
        value = record.get(name, usual)
        if value is None:
            return Message("launches.missing", field=name)
        if isinstance(value, bool) or not isinstance(value, int | float) or not np.isfinite(value):
            return Message("launches.no_number", field=name, typed=str(value))
        if not least <= value <= most:
            code = "launches.outside" if unit else "launches.outside_share"
            return Message(code, field=name, value=float(value), least=least, most=most, unit=_unit(unit))
    return None


def _unit(unit: str) -> Message | str:
    """A unit as it is said: a sign everywhere, or a word of the reader's language."""
    return Message("launches.degrees") if unit == "degrees" else unit


def fly_records(records: Sequence[Any], model: str | None = None) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """Landings of the good launches in their order, and id and error (a message) of the bad ones. Raises UserError for no such
    model."""
    name = model or DEFAULT
    if name not in MODELS:
        raise UserError(Message("launches.no_model", name=name, models=tuple(MODELS)))
    checked = [(record, problems(record)) for record in records]
    bad = [
        {"id": record.get("id", i) if isinstance(record, Mapping) else i, "error": why}
        for i, (record, why) in enumerate(checked)
        if why
    ]
    good = [record for record, why in checked if not why]
    if not good:
        return [], bad
    column = {f: np.array([float(r.get(f, usual)) for r in good]) for f, (usual, *_) in FIELDS.items()}
    pressure = standard_pressure_pa(column["altitude_m"])
    landed = fly(
        Launches(
            speed_mps=column["speed_ms"],
            launch_deg=column["launch_deg"],
            azimuth_deg=column["azimuth_deg"],
            spin_rpm=column["spin_rpm"],
            axis_deg=column["axis_deg"],
            wind_mps=column["wind_ms"],
            wind_to_deg=column["wind_to_deg"],
            density_kg_m3=density_kg_m3(column["temp_c"], pressure, column["rh"]),
            viscosity_pa_s=viscosity_pa_s(column["temp_c"]),
        ),
        MODELS[name],
    )
    names = {
        "carry_m": landed.carry_m,
        "side_m": landed.side_m,
        "time_s": landed.time_s,
        "apex_m": landed.apex_m,
        "land_speed_ms": landed.land_speed_mps,
        "descent_deg": landed.descent_deg,
        "land_spin_rpm": landed.land_spin_rpm,
    }
    answers = [
        {"id": record.get("id", i)} | {field: round(float(values[i]), 6) for field, values in names.items()}
        for i, record in enumerate(good)
    ]
    return answers, bad

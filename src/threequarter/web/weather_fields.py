"""Weather as typed in a form, in the units of the reader, and as it stands in an address, always SI.

An address that is passed on means the same to everybody: what was typed under the names here is answered by the same
page under the names in SI.
"""

from collections.abc import Callable, Mapping
from typing import Final
from urllib.parse import urlencode

from fastapi import Request
from fastapi.responses import RedirectResponse

from threequarter.language import measures
from threequarter.language.localize import N_, _

Read = Callable[[str, str], float | None]
Write = Callable[[float], str]
FIELDS: Final[dict[str, tuple[str, str, Read, Write]]] = {
    "temp": ("temp_c", N_("The temperature"), measures.typed_temperature, measures.temperature_value),
    "altitude": ("altitude_m", N_("The altitude"), measures.typed_height, measures.height_value),
    "wind": ("wind_mps", N_("The wind"), measures.typed_speed, measures.speed_value),
}
"""The field of a form: its name in SI, what it is for, how it is read and written."""


def in_si(fields: Mapping[str, str]) -> dict[str, str]:
    """The fields with what was typed under its name in SI. Raises UserError, naming the field, for what is no such
    quantity."""
    settled = {name: text for name, text in fields.items() if name not in FIELDS}
    for name, (kept_as, what, read, _write) in FIELDS.items():
        value = read(fields.get(name, ""), _(what))
        if value is not None:
            settled[kept_as] = f"{value:.6g}"
    return settled


def settled_address(request: Request) -> RedirectResponse | None:
    """The way to the same page with SI in its address, where something was typed. Raises UserError as `in_si`."""
    if not FIELDS.keys() & request.query_params.keys():
        return None
    rest = [(name, text) for name, text in request.query_params.multi_items() if name not in FIELDS]
    typed = {name: request.query_params[name] for name in FIELDS if name in request.query_params}
    return RedirectResponse(f"{request.url.path}?{urlencode([*rest, *in_si(typed).items()])}", status_code=303)


def shown(fields: Mapping[str, str]) -> dict[str, str]:
    """What stands in the fields of the form: as typed, else the kept value in the units of the reader."""
    written = {}
    for name, (kept_as, _what, _read, write) in FIELDS.items():
        try:
            written[name] = fields.get(name) or write(float(fields[kept_as].replace(",", ".")))
        except (KeyError, ValueError):
            written[name] = fields.get(kept_as, "")
    return written


def marks() -> dict[str, str]:
    """The unit of each field, as the reader writes it."""
    units = measures.units_in_use()
    return {
        "temp": measures.TEMPERATURE_MARK[units.temperature],
        "altitude": measures.HEIGHT_MARK[units.height],
        "wind": measures.SPEED_MARK[units.speed],
    }

"""The units and the language a player reads in, chosen on the player's page."""

from typing import Annotated, Any, Final
from urllib.parse import quote

from fastapi import Form, Request
from fastapi.responses import RedirectResponse

from threequarter.language.localize import N_
from threequarter.languages import LANGUAGES
from threequarter.store.people.roster import Roster
from threequarter.store.results import Preferences
from threequarter.web.page_context import store_of
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import TYPE, need

pages = AuthorizedRouter()
READS: Final = (
    ("distance", N_("Distances"), (("yd", N_("yards")), ("m", N_("metres")))),
    ("height", N_("Heights"), (("m", N_("metres")), ("ft", N_("feet")))),
    ("speed", N_("Wind"), (("ms", "m/s"), ("kmh", "km/h"), ("mph", "mph"))),
    ("temperature", N_("Temperature"), (("C", "°C"), ("F", "°F"))),
)
"""What a player may choose: the field, its name, what may be chosen."""


@pages.post("/players/{name:path}/reads", dependencies=[need(TYPE, N_("chose units and language"))])
def keep(
    request: Request,
    name: str,
    distance: Annotated[str, Form()] = "",
    height: Annotated[str, Form()] = "",
    speed: Annotated[str, Form()] = "",
    temperature: Annotated[str, Form()] = "",
    language: Annotated[str, Form()] = "",
) -> RedirectResponse:
    """Keeps what a player reads in; what is left empty is as usual. Raises UserError for a stranger."""
    chosen: dict[str, Any] = {"distance": distance, "height": height, "speed": speed, "temperature": temperature}
    Roster(store_of(request)).set_reader(
        name, Preferences(**chosen, language=language if language in LANGUAGES else None)
    )
    return RedirectResponse(f"/players/{quote(name, safe='')}/about", status_code=303)

"""What the routes share: templates, the store, files waiting to be kept, a session's chart."""

import datetime
import gzip
import math
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

from fastapi import Request
from fastapi.responses import HTMLResponse, Response
from fastapi.templating import Jinja2Templates
from jinja2 import pass_context
from jinja2.runtime import Context

from threequarter import __version__
from threequarter.app.charts import need_chart, session_chart
from threequarter.app.standing import asked_chart
from threequarter.golf.errors import NoRoomError, NotNowError, NotThereError, UserError
from threequarter.golf.message import Message
from threequarter.golf.units import DistanceUnit
from threequarter.language import localize, measures, say, words
from threequarter.language.localize import _
from threequarter.languages import LANGUAGES
from threequarter.store.results import SessionInfo
from threequarter.store.store import Store
from threequarter.web.assets import assets_version
from threequarter.web.pages.keys.texts import waiting_texts
from threequarter.web.pending import Pending
from threequarter.web.places import places
from threequarter.web.request_locale import here
from threequarter.web.security.policy import may
from threequarter.web.signs import arms, filmed_sign, sign, wedge_key
from threequarter.web.view import ChartView


@pass_context
def _may(context: Context, route: str) -> bool:
    """Whether a page offers a route to whoever reads it, on the machine they read it on."""
    return may(route, context.get("request"))


HERE: Final = Path(__file__).parent
TEMPLATES: Final = Jinja2Templates(directory=HERE / "pages")
PACKED: Final = 5
"""How hard pages are packed: a chart of 150 kB becomes 20 in a few milliseconds."""
MOST_NUMBER: Final = 1e7
"""Pascal of the air are a hundred thousand; nothing that is typed here is larger."""
MOST_OFFERED: Final = 200
"""Names that a field offers while typing."""
TEMPLATES.env.globals["version"] = __version__
TEMPLATES.env.globals["assets"] = assets_version()
TEMPLATES.env.globals["waiting_texts"] = waiting_texts
TEMPLATES.env.add_extension("jinja2.ext.i18n")
TEMPLATES.env.policies["ext.i18n.trimmed"] = (
    True  # a text may run over several lines, as it may where texts are collected
)
TEMPLATES.env.install_gettext_callables(localize._, localize.ngettext, newstyle=True)  # type: ignore[attr-defined]
TEMPLATES.env.globals["language"] = lambda: localize.locale().partition("_")[0]
TEMPLATES.env.globals["languages"] = LANGUAGES
TEMPLATES.env.globals["here"] = here
TEMPLATES.env.globals["may"] = _may
TEMPLATES.env.globals["places"] = places
TEMPLATES.env.globals |= {"sign": sign, "arms": arms, "filmed_sign": filmed_sign, "wedge_key": wedge_key}
TEMPLATES.env.globals["usual_distance"] = lambda: measures.units_in_use().distance


def _anew(asked: Callable[..., Any]) -> Callable[..., Any]:
    """A filter whose answer depends on who reads: a constant behind it is not worked out once, for whoever came first."""

    @pass_context
    def answer(_context: Context, *args: Any, **named: Any) -> Any:
        return asked(*args, **named)

    return answer


TEMPLATES.env.filters["balls"] = _anew(words.balls)
TEMPLATES.env.filters["day"] = _anew(localize.day)
TEMPLATES.env.filters["number"] = _anew(localize.number)
TEMPLATES.env.filters["temperature_value"] = _anew(measures.temperature_value)
TEMPLATES.env.filters["speed_value"] = _anew(measures.speed_value)
TEMPLATES.env.filters["said"] = _anew(lambda text: say(text) if isinstance(text, Message) else localize._(text))
TEMPLATES.env.finalize = lambda value: say(value) if isinstance(value, Message) else value
TEMPLATES.env.filters["day_of"] = datetime.datetime.fromisoformat
TEMPLATES.env.filters["local"] = lambda when: when.replace(tzinfo=datetime.UTC).astimezone()


def titled(title: str) -> str:
    """A session's title for a reader: typed balls by their day instead of the name their text was kept under."""
    typed = re.match(r"typed (\d{4}-\d{2}-\d{2}) ", title)
    if typed:
        return _("Typed on {day}").format(day=localize.day(datetime.date.fromisoformat(typed[1])))
    return _("Typed ball by ball") if title == "bucket" else title


TEMPLATES.env.filters["titled"] = _anew(titled)


def page(request: Request, template: str, status: int = 200, **values: Any) -> HTMLResponse:
    """A filled template, never kept by the browser, packed for one that takes it so."""
    response = TEMPLATES.TemplateResponse(request, template, values, status_code=status)
    response.headers["cache-control"] = "no-store"
    if "gzip" in request.headers.get("accept-encoding", ""):
        response.body = gzip.compress(bytes(response.body), PACKED)
        response.headers.update({"content-encoding": "gzip", "content-length": str(len(response.body))})
    return response


def store_of(request: Request) -> Store:
    """The store of the app that was asked."""
    store: Store = request.app.state.store
    return store


def kept_elsewhere(request: Request) -> bool:
    """Whether what is kept lies with an academy, not just on the computer one sits at: with accounts, or in its
    database."""
    return getattr(request.state, "who", None) is not None or store_of(request).on_postgres


TEMPLATES.env.globals["kept_elsewhere"] = kept_elsewhere


def pending_of(request: Request) -> Pending:
    """The files that were looked at and not yet kept."""
    pending: Pending = request.app.state.pending
    return pending


def chart_of(store: Store, session_id: int, unit: DistanceUnit | None) -> tuple[SessionInfo, ChartView | None]:
    """A session and its chart, in the units of its player; no chart where no ball is left."""
    info, found = session_chart(store, session_id, unit)
    return info, ChartView.of(found) if found else None


def charted(store: Store, session_id: int, unit: DistanceUnit | None) -> tuple[SessionInfo, ChartView]:
    """A session and its chart. Raises UserError where no ball is left."""
    info, found = need_chart(store, session_id, unit)
    return info, ChartView.of(found)


def charted_for(request: Request, session_id: int, unit: DistanceUnit | None) -> tuple[SessionInfo, ChartView]:
    """A day and the chart that what is asked goes by: the standing chart of its player, with "of=day" that of the day alone.
    Raises UserError where no ball is left."""
    alone = request.query_params.get("of") == "day"
    info, found = asked_chart(store_of(request), session_id, unit, alone=alone)
    return info, ChartView.of(found)


def pdf_answer(pdf: bytes, name: str) -> Response:
    """A PDF that opens in the browser."""
    return Response(pdf, media_type="application/pdf", headers={"content-disposition": f'inline; filename="{name}"'})


def names_in(text: str, most: int = 20) -> list[str]:
    """Names with commas between, or one a line."""
    return [part.strip() for part in text.replace("\n", ",").split(",") if part.strip()][:most]


def number(text: str, what: str) -> float | None:
    """A number as typed, None for nothing. Raises UserError, naming what it was for, for what is none or larger than anything here."""
    plain = text.strip().replace(",", ".").replace("\u2212", "-").rstrip("% ")
    if not plain:
        return None
    try:
        found = float(plain)
    except ValueError:
        found = math.nan
    if not abs(found) <= MOST_NUMBER:  # "nan" and "inf" are numbers to Python, and so are a hundred digits
        raise UserError(_("{what}: {typed} is not a number.").format(what=what, typed=repr(text.strip()[:30])))
    return found


def typed_day(text: str) -> datetime.date | None:
    """A date as typed, None for nothing. Raises UserError for what is no date."""
    if not text.strip():
        return None
    try:
        return datetime.date.fromisoformat(text.strip())
    except ValueError:
        raise UserError(
            _("Write the day as a date like 2026-05-31, not {typed}.").format(typed=repr(text.strip()[:30]))
        ) from None


def status_of(error: UserError, otherwise: int = 400) -> int:
    """The status that goes with an error: 404 for what is not there, 503 to try again in a moment, 507 for a full disk,
    else as said."""
    told = ((NotThereError, 404), (NotNowError, 503), (NoRoomError, 507))
    return next((status for kind, status in told if isinstance(error, kind)), otherwise)

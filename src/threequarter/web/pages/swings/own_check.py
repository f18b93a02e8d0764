"""How good the swing check is on one's own clips, and the marks to take along."""

import json
from typing import Annotated, Any, Final

from fastapi import Form, Request
from fastapi.responses import HTMLResponse, Response

from threequarter.app.own_check import Field, exported, own_check
from threequarter.golf.errors import UserError
from threequarter.language import localize
from threequarter.language.localize import N_, _
from threequarter.web.page_context import page, store_of
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import COACH, SIGNED_IN, need
from threequarter.web.whole_number import whole_number

pages = AuthorizedRouter()
FIELD_WORDS: Final = {
    "t_takeaway_s": N_("takeaway"),
    "t_top_s": N_("top"),
    "t_impact_s": N_("impact"),
    "t_finish_s": N_("finish"),
    "lead_arm_top_deg": N_("lead arm at the top"),
    "lead_arm_finish_deg": N_("lead arm at the finish"),
}


@pages.get("/swing-check", response_class=HTMLResponse, dependencies=[need(SIGNED_IN)])
def checked(request: Request) -> HTMLResponse:
    """What was found against what was marked."""
    found = own_check(store_of(request))
    return page(request, "swings/own_check.html", found=found, fields=[_row(one) for one in found.fields])


@pages.post("/swing-check/marks.json", dependencies=[need(COACH, N_("took along marked swings"))])
def marks(
    request: Request, clip: Annotated[list[str] | None, Form()] = None, agreed: Annotated[str, Form()] = ""
) -> Response:
    """The marks of the ticked clips in the open form."""
    chosen = [number for one in clip or [] if (number := whole_number(one)) is not None]
    if not chosen or not agreed:
        raise UserError(_("Tick the clips, and that their players agreed."))
    body = json.dumps(exported(store_of(request), chosen))
    name = {"content-disposition": 'attachment; filename="marked-swings.json"', "cache-control": "no-store"}
    return Response(body, media_type="application/json", headers=name)


def _row(one: Field) -> dict[str, Any]:
    times, unit, digits = (1000, " ms", 0) if one.name.startswith("t_") else (1, "°", 1)
    count = len(one.errors)
    return {
        "name": _(FIELD_WORDS.get(one.name, one.name)),
        "count": count,
        "middle": f"{localize.number(times * one.middle, digits)}{unit}",
        "worst": f"{localize.number(times * one.worst, digits, sign=True)}{unit}",
        "held": _("{within} of {count}").format(within=one.within, count=count),
    }

"""A session: its chart, its card, its files."""

from dataclasses import replace
from typing import Annotated

from fastapi import Form, Request
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse, Response

from threequarter.answers.chart import chart_answer, next_answer
from threequarter.app.charts import in_language_of
from threequarter.app.reports import card_details
from threequarter.chart.in_air import chart_in_air
from threequarter.golf.units import DistanceUnit
from threequarter.language import say
from threequarter.language.localize import N_, _, ngettext
from threequarter.paper.card import SheetSize, pocket_card
from threequarter.paper.pictures.flight_picture import flight_picture
from threequarter.store.balls.days import Days
from threequarter.store.people.roster import Roster
from threequarter.web.page_context import MOST_OFFERED, chart_of, charted, charted_for, page, pdf_answer, store_of
from threequarter.web.pages.chart.workspace import workspace
from threequarter.web.pages.players.head import head_of
from threequarter.web.pages.swings.routes import clips_of
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import COACH, SEE, need

pages = AuthorizedRouter()


@pages.get("/sessions/{session_id}", response_class=HTMLResponse, dependencies=[need(SEE, N_("looked at a chart"))])
def session_page(
    request: Request,
    session_id: int,
    unit: DistanceUnit | None = None,
    kept: str = "",
    added: int = 0,
    ball: int | None = None,
    club: str = "",
    swing: str = "",
) -> Response:
    """The chart of a session, with one shot looked at (`club`, `swing`); with `ball` (its handle) that one can be looked at, set aside
    and brought back."""
    store = store_of(request)
    standing = Days(store).standing(session_id)
    if standing != session_id:
        return RedirectResponse(f"/sessions/{standing}", status_code=303)
    info, view = chart_of(store, session_id, unit)
    found = view.kept if view else ()
    values = view.page(view.marks({one.ball.number: one.id for one in found}, ball)) if view else {}
    for row, one in zip(values.get("balls", []), found, strict=False):
        row["id"], row["why"] = one.id, one.left_out_why
    if view:
        number = next((one.ball.number for one in found if one.id == ball), None)
        near = next((one for one in view.balls if one.number == number), None)
        chosen = (near.club, near.swing) if near else (club, swing)
        values["work"] = workspace(view, chosen=chosen, day=session_id)
        values["ids"] = {one.ball.number: one.id for one in found}
    if info.player:
        enough = view is not None and view.answer.advice.enough
        values["head"] = head_of(store, info.player, view.unit if view else info.unit, enough=enough)
    return page(
        request,
        "sessions/session.html",
        info=info,
        imports=(imports := store.imports(session_id)),
        began=not any(one.balls for one in imports),
        aside=[replace(one, why=say(one.why)) for one in store.set_aside(session_id)],
        clips=clips_of(request).of_session(session_id),
        roster=Roster(store).names(most=MOST_OFFERED),
        message=_message(kept, added),
        chart=view is not None,
        one=next((row for row in values.get("balls", []) if row.get("id") == ball), None),
        **values,
    )


def _message(kept: str, added: int) -> str:
    if kept == "nothing-new":
        return _("This file was already here; nothing changed.")
    if kept == "rows-added":
        return ngettext("{count} new ball was added.", "{count} new balls were added.", added).format(count=added)
    if kept == "brought-back":
        return ngettext("{count} ball is back.", "{count} balls are back.", added).format(count=added)
    return ""


@pages.post("/sessions/{session_id}/player", dependencies=[need(COACH, N_("gave a session to a player"))])
def whose(request: Request, session_id: int, name: Annotated[str, Form()] = "") -> RedirectResponse:
    """Gives a session to a player, or (an empty name) to nobody."""
    Roster(store_of(request)).give_session(session_id, name.strip() or None)
    return RedirectResponse(f"/sessions/{session_id}", status_code=303)


@pages.get("/sessions/{session_id}/card.pdf", dependencies=[need(SEE, N_("printed a card"))])
def card(
    request: Request,
    session_id: int,
    paper: SheetSize = "pocket",
    unit: DistanceUnit | None = None,
    flights: bool = False,
) -> Response:
    info, view = charted_for(request, session_id, unit)
    with in_language_of(store_of(request), info.player):
        picture = (
            flight_picture(chart_in_air(view.chart, view.balls, view.air), view.unit, width=380) if flights else ""
        )
        pdf = pocket_card(view.chart, card_details(info, view), unit=view.unit, sheet=paper, flights=picture)
        return pdf_answer(pdf, "card.pdf")


@pages.get("/sessions/{session_id}/chart.json", dependencies=[need(SEE, N_("read a chart"))])
def chart_json(request: Request, session_id: int, unit: DistanceUnit | None = None) -> JSONResponse:
    _info, view = charted(store_of(request), session_id, unit)
    return JSONResponse(
        {
            **chart_answer(view.chart, view.unit, view.balls),
            "next": next_answer(view.answer.advice, view.unit),
        }
    )


@pages.post("/imports/{import_id}/undo", dependencies=[need(COACH, N_("took an import back"))])
def undo(request: Request, import_id: int) -> RedirectResponse:
    return RedirectResponse(f"/sessions/{store_of(request).undo_import(import_id)}", status_code=303)


@pages.post("/imports/{import_id}/redo", dependencies=[need(COACH, N_("brought an import again"))])
def redo(request: Request, import_id: int) -> RedirectResponse:
    return RedirectResponse(f"/sessions/{store_of(request).redo_import(import_id)}", status_code=303)


@pages.get("/imports/{import_id}/original", dependencies=[need(COACH, N_("took along a file as it came"))])
def original(request: Request, import_id: int) -> Response:
    _name, content = store_of(request).original(import_id)
    headers = {"content-disposition": f'attachment; filename="original-{import_id}.bin"'}
    return Response(content, media_type="application/octet-stream", headers=headers)

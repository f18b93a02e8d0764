"""Today: what runs, what to begin, who is due, and the latest players each with a small picture of their yards."""

import datetime
from typing import Final

from fastapi import Request
from fastapi.responses import HTMLResponse
from markupsafe import Markup

from threequarter.app.charts_ahead import ComputingError
from threequarter.app.lesson_view import MINUTES
from threequarter.app.standing import standing_chart
from threequarter.app.today import RunningLesson, today
from threequarter.language import lines, words
from threequarter.language.localize import _, ngettext
from threequarter.paper.pictures.sign import wedges_of
from threequarter.paper.pictures.yards_picture import reach, yards_picture
from threequarter.paper.report import RECHECK_WEEKS
from threequarter.store.media.retention import ending
from threequarter.web.page_context import page, store_of
from threequarter.web.pages.players.lookup import known_player
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import SEE, SIGNED_IN, may, need

pages = AuthorizedRouter()
DUE_AFTER: Final = datetime.timedelta(weeks=RECHECK_WEEKS)


@pages.get("/", response_class=HTMLResponse, dependencies=[need(SIGNED_IN)])
def start(
    request: Request, shared: int = 0, added: int = 0, batch: str = "", undone: int = 0, done: int = 0
) -> HTMLResponse:
    """What runs and what to begin; after an import, what it did and the way back."""
    found = today(store_of(request), DUE_AFTER)
    return page(
        request,
        "today/today.html",
        today=found,
        date=datetime.datetime.now().astimezone().date(),
        lessons=[_lesson(one) for one in found.lessons],
        minutes=MINUTES,
        films_ending=len(ending(store_of(request))) if may("GET /films-ending", request) else 0,
        message=_message(shared, added, batch, undone, done),
        batch=batch,
        undone=undone,
    )


@pages.get("/players/{name:path}/yards", response_class=HTMLResponse, dependencies=[need(SEE)])
def yards(request: Request, name: str) -> HTMLResponse:
    """The small picture of a player's yards, fetched once the page stands; nothing without a ball."""
    player = known_player(request, name)
    try:
        found = standing_chart(store_of(request), player)
    except ComputingError:
        return page(request, "today/_yards_soon.html", name=player)
    if found is None:
        return HTMLResponse("")
    meaning = found.answer.meaning
    picture = Markup(yards_picture(meaning, wedges_of(found.chart), found.unit))
    return page(request, "today/_yards.html", picture=picture, reach=reach(meaning, found.unit))


def _lesson(one: RunningLesson) -> dict[str, object]:
    advice = one.answer.advice if one.answer else None
    block = advice.suggestions[0] if advice and advice.suggestions and not advice.stop else None
    return {
        "id": one.info.id,
        "player": one.info.player or one.info.title,
        "minutes": one.minutes,
        "balls": one.info.balls,
        "shot": words.shot(block.cell) if block else "",
        "block": words.balls(block.balls) if block else "",
        "enough": lines(advice.messages[:1], one.unit)[0] if advice and advice.stop else "",
    }


def _message(shared: int, added: int, batch: str, undone: int, done: int) -> str:
    if undone:
        return ngettext("{count} import was undone.", "{count} imports were undone.", undone).format(count=undone)
    if done or (batch and not shared):
        return _("It is all there again.") if done else _("Added: {added}.").format(added=words.balls(added))
    if shared:
        return _("Added: {added}, split between {shared} days.").format(added=words.balls(added), shared=shared)
    return ""

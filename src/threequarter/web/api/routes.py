"""The routes of the interface: thin callers of the store and the chart, as the pages are."""

from pathlib import Path
from typing import Annotated, Any, Final, Literal

from fastapi import File, Query, Request, UploadFile
from fastapi.responses import FileResponse, Response

from threequarter.app.confirmed_tables import with_headings
from threequarter.golf.errors import NotThereError, UserError
from threequarter.intake.options import ReadOptions
from threequarter.intake.own_format.columns import row_of
from threequarter.intake.own_format.files import Form
from threequarter.intake.safe_reading import read_safely
from threequarter.language import line, say
from threequarter.language.localize import N_, _
from threequarter.measurement.carry import Ground
from threequarter.paper.card import SheetSize
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.exchange.reimport import undo_batch
from threequarter.store.imports import import_batch
from threequarter.store.people.roster import Roster
from threequarter.store.results import SessionInfo, StoredBall
from threequarter.web.api import shapes
from threequarter.web.page_context import charted, store_of
from threequarter.web.pages.intake.routes import MOST_FILES
from threequarter.web.pages.kept.export import table_answer
from threequarter.web.pages.sessions.routes import card as card_page
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import COACH, SEE, SIGNED_IN, TYPE, need

PROBLEMS: Final[dict[int | str, dict[str, Any]]] = {
    code: {"model": shapes.Problem, "description": says}
    for code, says in (
        (400, "it cannot be done; `detail` says why"),
        (401, "the token is unknown"),
        (404, "it is not there"),
    )
}
pages = AuthorizedRouter(prefix="/api", tags=["scripts"], responses=PROBLEMS)
MOST: Final = 1000


@pages.get("/players", dependencies=[need(SIGNED_IN)])
def players(
    request: Request, q: Annotated[str, Query(max_length=300, description="part of the name")] = ""
) -> list[shapes.Player]:
    """The roster by name, those that hold `q`."""
    wanted = set(Roster(store_of(request)).names(q, MOST))
    return [
        shapes.Player(name=p.name, sessions=p.sessions, made_at_utc=p.made_at)
        for p in Roster(store_of(request)).players()
        if p.name in wanted
    ]


@pages.post("/players", status_code=201, dependencies=[need(COACH, N_("entered a player"))])
def add_player(request: Request, told: shapes.NewPlayer) -> shapes.NewPlayer:
    """Enters a player in the roster."""
    Roster(store_of(request)).add(told.name)
    return shapes.NewPlayer(name=Roster(store_of(request)).known(told.name) or told.name)


@pages.get("/sessions", dependencies=[need(SIGNED_IN)])
def sessions(
    request: Request,
    player: Annotated[str | None, Query(max_length=300)] = None,
    most: Annotated[int, Query(ge=1, le=MOST)] = 100,
) -> list[shapes.Session]:
    """Sessions that hold balls, newest first: of everybody, or of one player."""
    found = store_of(request).sessions(None if player is None else [player], newest=most)
    return [_session(info) for info in found]


@pages.post("/sessions", status_code=201, dependencies=[need(TYPE, N_("began a session"))])
def begin_session(request: Request, told: shapes.NewSession) -> shapes.Begun:
    """A new session; put balls into it by POST /api/sessions/{session_id}/balls."""
    return shapes.Begun(session_id=PhoneBalls(store_of(request)).begin(told.player, told.unit))


@pages.get("/sessions/{session_id}", dependencies=[need(SEE, N_("read a session"))])
def session(request: Request, session_id: int) -> shapes.Session:
    """One session."""
    return _session(store_of(request).session(session_id))


def _session(info: SessionInfo) -> shapes.Session:
    return shapes.Session(
        session_id=info.id,
        title=info.title,
        player=info.player,
        unit=info.unit,
        ground=info.ground,
        balls=info.balls,
        made_at_utc=info.made_at,
        held_on=info.held_on,
        assumed=info.assumed,
    )


@pages.get("/sessions/{session_id}/balls", dependencies=[need(SEE, N_("read the balls of a session"))])
def balls(request: Request, session_id: int) -> list[shapes.Ball]:
    """The balls of a session in the order hit, those left out too (`use` is false, `left_out_why` says why)."""
    player = store_of(request).session(session_id).player
    return [_ball(kept, player) for kept in store_of(request).kept_balls(session_id)]


def _ball(kept: StoredBall, player: str | None) -> shapes.Ball:
    row = row_of(kept.ball) | {
        "player": player or kept.ball.player,
        "ball_id": kept.id,
        "left_out_why": kept.left_out_why,
        "edited": kept.edited,
    }
    return shapes.Ball.model_validate({name: row.get(name) for name in shapes.Ball.model_fields})


@pages.post("/sessions/{session_id}/balls/{ball_id}/aside", dependencies=[need(TYPE, N_("left a ball out"))])
def set_aside(request: Request, session_id: int, ball_id: int, told: shapes.Reason) -> shapes.Ball:
    """Leaves a ball out with a reason; the chart follows."""
    _kept(request, session_id, ball_id)
    store_of(request).leave_out(ball_id, told.why)
    return _ball(_kept(request, session_id, ball_id), store_of(request).session(session_id).player)


@pages.post("/sessions/{session_id}/balls/{ball_id}/back", dependencies=[need(TYPE, N_("brought a ball back"))])
def bring_back(request: Request, session_id: int, ball_id: int) -> shapes.Ball:
    """Takes a ball in again."""
    _kept(request, session_id, ball_id)
    store_of(request).leave_out(ball_id, None)
    return _ball(_kept(request, session_id, ball_id), store_of(request).session(session_id).player)


def _kept(request: Request, session_id: int, ball_id: int) -> StoredBall:
    found = next((kept for kept in store_of(request).kept_balls(session_id) if kept.id == ball_id), None)
    if found is None:
        raise NotThereError(_("This day has no ball {ball_id}.").format(ball_id=ball_id))
    return found


@pages.get("/sessions/{session_id}/chart", dependencies=[need(SEE, N_("read a chart"))])
def chart(request: Request, session_id: int) -> shapes.Chart:
    """The distance chart of a session."""
    found = charted(store_of(request), session_id, "m")[1].chart
    cells = [
        shapes.Cell(
            club=c.club,
            swing=c.swing,
            loft_deg=c.loft_deg,
            balls=c.balls,
            stock_carry_m=c.stock_carry_m,
            stock90_low_m=c.stock90_m.low,
            stock90_high_m=c.stock90_m.high,
            next90_low_m=c.next90_m.low,
            next90_high_m=c.next90_m.high,
            good_sd_m=c.good_sd_m,
            mishit_rate=c.mishit_rate,
            mishit90_low=c.mishit_rate90.low,
            mishit90_high=c.mishit_rate90.high,
            words=[say(one) for one in c.told],
        )
        for c in found.cells
    ]
    return shapes.Chart(session_id=session_id, cells=cells, notes=[say(note) for note in (*found.checks, *found.notes)])


@pages.get("/sessions/{session_id}/next", dependencies=[need(SEE)])
def next_ball(request: Request, session_id: int) -> shapes.Next:
    """Which ball to hit next, and whether to stop."""
    view = charted(store_of(request), session_id, "m")[1]
    advice = view.answer.advice
    return shapes.Next(
        stop=advice.stop,
        enough=advice.enough,
        state=advice.state,
        balls_to_go=advice.balls_to_go,
        suggestions=[
            shapes.Suggestion(
                club=s.cell.club,
                swing=s.cell.swing,
                balls=s.balls,
                why=line(s.why, "m"),
                halfwidth_now_m=s.halfwidth_now_m,
                expected_halfwidth_after_m=s.expected_halfwidth_after_m,
            )
            for s in advice.suggestions
        ],
    )


@pages.get(
    "/sessions/{session_id}/card.pdf",
    response_class=Response,
    responses={200: {"content": {"application/pdf": {}}}},
    dependencies=[need(SEE, N_("printed a card"))],
)
def card(
    request: Request, session_id: int, paper: SheetSize = "pocket", unit: Literal["yd", "m"] | None = None
) -> Response:
    """The pocket card of a session."""
    return card_page(request, session_id, paper, unit)


@pages.get(
    "/export", response_class=FileResponse, dependencies=[need(COACH, N_("exported the balls of all"), here=True)]
)
def export(
    request: Request,
    form: Form = "csv",
    player: Annotated[str | None, Query(max_length=300)] = None,
    session_id: int | None = None,
) -> FileResponse:
    """The table of balls, of everybody, a player or a session, with the columns that /ways-out describes."""
    return table_answer(request, form, "threequarter", player=player, session_id=session_id)


@pages.post("/import", dependencies=[need(COACH, N_("kept a table"))])
def import_files(
    request: Request,
    file: Annotated[list[UploadFile], File(description="tables of balls, or exports")],
    look: bool = False,
    player: Annotated[
        str | None, Query(max_length=300, description="whose balls they are where a file does not tell")
    ] = None,
    unit: Literal["yd", "m", "ft"] | None = None,
    decimal: Literal[".", ","] | None = None,
    remarks: Literal["keep", "leave"] | None = None,
    across: Literal["players", "swings", "measures"] | None = None,
    ground: Ground = "normal",
) -> shapes.Imported:
    """Keeps tables or exports as one act, all or none; with `look` says what it would do. A table that leaves a
    question open is refused with the question: answer with `unit`, `decimal`, `remarks` or `across`. What headings mean to this coach counts."""
    if len(file) > MOST_FILES:
        raise UserError(_("Send at most {most} files at once.").format(most=MOST_FILES))
    options = ReadOptions(unit=unit, decimal=decimal, remarks=remarks, across=across)
    store, found = store_of(request), []
    for one in file:
        content, name = one.file.read(), Path(one.filename or "table.csv").name or "table.csv"
        mine = with_headings(store, content, name, options)
        found.append(
            import_batch.inspect_file(
                content, name, options=mine, ground=ground, player=player or None, reader=read_safely
            )
        )
    done = import_batch.save_batch(store, found, dry=look)
    said = [
        shapes.FileSaid(file=one.name, said=[say(line) for line in lines])
        for one, lines in zip(found, done.said, strict=True)
    ]
    return shapes.Imported(
        batch=None if look else done.batch,
        sessions=[] if look else list(done.sessions),
        added=done.added,
        changed=done.changed,
        files=said,
    )


@pages.post("/imports/{batch}/undo", dependencies=[need(COACH, N_("took several imports back, or brought them again"))])
def undo(request: Request, batch: str) -> shapes.TakenBack:
    """Takes a whole import back by the `batch` it told."""
    return shapes.TakenBack(imports=undo_batch(store_of(request), batch))

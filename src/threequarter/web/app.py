"""The app: the rooms of the pages put together, and what is said when something goes wrong."""

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from fastapi import FastAPI
from uvicorn.middleware.proxy_headers import ProxyHeadersMiddleware

from threequarter import __version__
from threequarter.app.warm_up import WarmUp
from threequarter.jobs.queue import Jobs
from threequarter.store.accounts.tokens import Tokens
from threequarter.store.backup.schedule import BackupSchedule
from threequarter.store.clips.clips import Clips
from threequarter.store.store import Store
from threequarter.store.tasks.daily_maintenance import DailyMaintenance
from threequarter.web import request_locale
from threequarter.web.api import routes as api
from threequarter.web.assets import static_files
from threequarter.web.errors import add_errors
from threequarter.web.operation.watch import Watch
from threequarter.web.pages.accounts import account, consent, people, second_factor, shares, sign_in
from threequarter.web.pages.api_tokens import routes as api_tokens
from threequarter.web.pages.api_tokens.routes import describe
from threequarter.web.pages.chart import cell, pooled
from threequarter.web.pages.clinic import routes as clinic
from threequarter.web.pages.course import day
from threequarter.web.pages.course import routes as course
from threequarter.web.pages.intake import routes as intake
from threequarter.web.pages.kept import backups, export, history
from threequarter.web.pages.kept import routes as kept
from threequarter.web.pages.keys import here as keys_here
from threequarter.web.pages.keys import routes as keys
from threequarter.web.pages.lesson import homework, report
from threequarter.web.pages.lesson import routes as lesson
from threequarter.web.pages.lesson import table as lesson_table
from threequarter.web.pages.operation import routes as operation
from threequarter.web.pages.operation.routes import figures
from threequarter.web.pages.phones import routes as phones
from threequarter.web.pages.plan import routes as plan
from threequarter.web.pages.players import plan as players_plan
from threequarter.web.pages.players import preferences
from threequarter.web.pages.players import routes as players
from threequarter.web.pages.players import within as within_a_player
from threequarter.web.pages.practice import game
from threequarter.web.pages.practice import routes as practice
from threequarter.web.pages.recheck import routes as recheck
from threequarter.web.pages.sessions import about, balls
from threequarter.web.pages.sessions import routes as sessions
from threequarter.web.pages.swings import film, live, own_check
from threequarter.web.pages.swings import routes as swings
from threequarter.web.pages.tasks import routes as tasks
from threequarter.web.pages.today import routes as today
from threequarter.web.pending import Pending
from threequarter.web.phones.announcing import Announced
from threequarter.web.phones.pairing import Pairing
from threequarter.web.security.authorization import Authorization, deny_by_default, include_router
from threequarter.web.security.request_guard import RequestGuard, proxies_from_environment

ROOMS = (
    export,  # before the rooms whose routes end on any name
    consent,
    pooled,
    today,
    intake,
    backups,
    sessions,
    cell,
    plan,
    players_plan,
    about,
    players,
    within_a_player,
    day,
    swings,
    live,
    film,
    own_check,
    practice,
    game,
    recheck,
    course,
    keys_here,  # before the keys, whose address ends on any number
    keys,
    preferences,
    report,
    balls,
    phones,
    clinic,
    tasks,
    request_locale,
    operation,
    lesson_table,
    homework,
    lesson,
    history,
    kept,
    api,
    api_tokens,
    sign_in,
    account,
    second_factor,
    people,
    shares,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PhoneDoor:
    """What phones need: who is paired, the trusted and the plain address, the authority's certificate.

    `announced` is its name on the network, where that works; `renew` makes the certificate anew where it ends soon.
    """

    pairing: Pairing
    secure: str
    plain: str
    authority: Path
    announced: Announced
    renew: Callable[[], bytes] | None = None


@asynccontextmanager
async def _upkeep(app: FastAPI) -> AsyncIterator[None]:
    """While the server runs, what is done once a day is done."""
    upkeep = DailyMaintenance(app.state.store)
    upkeep.start()
    if app.state.warm_up:
        app.state.warm_up.start()
    try:
        yield
    finally:
        upkeep.stop()
        if app.state.warm_up:
            app.state.warm_up.stop()
        app.state.regularly.stop()
        app.state.jobs.let_go()


def make_app(
    data_dir: Path,
    hosts: frozenset[str],
    door: PhoneDoor | None = None,
    *,
    work: bool = True,
    regular_backups: bool = False,
    charts_ahead: bool = False,
    phones_later: Callable[[Callable[[PhoneDoor, frozenset[str]], None]], None] | None = None,
) -> Watch:
    """The app over a data folder, answering to `hosts` (name:port) only; with a `door` also to paired phones.

    Without `work` it measures no clips: `threequarter work` does, in other processes. With `regular_backups` one is
    made a day. With `charts_ahead` the charts of all days are computed beside it, and a page that comes sooner says so.
    `phones_later` opens the door when somebody asks for it on the laptop's page, and hands it over with the names it answers to.
    """
    app = FastAPI(
        title="threequarter",
        version=__version__,
        docs_url=None,
        redoc_url=None,
        openapi_url=None,
        lifespan=_upkeep,
    )
    app.state.store = Store.open(data_dir)
    app.state.jobs = Jobs(Clips(app.state.store), work=work)
    app.state.jobs.start()
    app.state.regularly = BackupSchedule(app.state.store, app.state.jobs.run_task)
    if regular_backups:
        app.state.regularly.start()
    app.state.warm_up = WarmUp(app.state.store) if charts_ahead else None
    app.state.pending = Pending(data_dir / "pending")
    _let_phones_in(app, door)
    app.mount("/static", static_files(), name="static")
    for room in ROOMS:
        include_router(app, room.pages)
    deny_by_default(app)
    add_errors(app)
    describe(app)
    app.state.figures = figures(app)
    authorization = Authorization(app, app.state.store, app.state.pending)
    guard = RequestGuard(
        authorization,
        hosts,
        door.pairing if door else None,
        scripts=Tokens(app.state.store).rights_of,
        closed=lambda: authorization.closed,
    )

    def enter(opened: PhoneDoor, names: frozenset[str]) -> None:
        guard.hosts, guard.pairing = guard.hosts | names, opened.pairing
        _let_phones_in(app, opened)
        app.state.switch_phones = None

    app.state.switch_phones = partial(phones_later, enter) if phones_later and door is None else None
    behind_proxies = ProxyHeadersMiddleware(guard, proxies_from_environment())  # type: ignore[arg-type]
    return Watch(behind_proxies, app.state.figures)  # type: ignore[arg-type]


def _let_phones_in(app: FastAPI, door: PhoneDoor | None) -> None:
    app.state.pairing = door.pairing if door else None
    app.state.phone_addresses = (door.secure, door.plain) if door else ("", "")
    app.state.announced = door.announced if door else None
    app.state.authority = door.authority if door else None

"""The app: the rooms of the pages put together, and what is said when something goes wrong."""

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass
from pathlib import Path

from fastapi import FastAPI

from threequarter import __version__
from threequarter.jobs.queue import Jobs
from threequarter.store.accounts.tokens import Tokens
from threequarter.store.backup.schedule import Regularly
from threequarter.store.clips.clips import Clips
from threequarter.store.store import Store
from threequarter.store.tasks.daily_maintenance import Upkeep
from threequarter.web import (
    acts_pages,
    ball_pages,
    bucket_pages,
    choice_pages,
    clinic_pages,
    clip_pages,
    day_pages,
    errand_pages,
    intake_pages,
    lesson_pages,
    phone_pages,
    plan_pages,
    player_pages,
    reads_pages,
    report_pages,
    safekeeping_pages,
    session_pages,
    tongue,
    ways_out_pages,
)
from threequarter.web.accounts import (
    account_pages,
    consent_pages,
    people_pages,
    second_step_pages,
    share_pages,
    sign_in_pages,
)
from threequarter.web.accounts.door import Door
from threequarter.web.api import pages as api_pages
from threequarter.web.api import routes as api_routes
from threequarter.web.api.pages import describe
from threequarter.web.assets import static_files
from threequarter.web.errors import add_errors
from threequarter.web.guard import Guard, proxies_from_environment
from threequarter.web.operation import pages as operation
from threequarter.web.operation.pages import figures
from threequarter.web.operation.watch import Watch
from threequarter.web.pending import Pending
from threequarter.web.phones.announcing import Announced
from threequarter.web.phones.pairing import Pairing

ROOMS = (
    ways_out_pages,  # before the rooms whose routes end on any name
    consent_pages,
    intake_pages,
    safekeeping_pages,
    session_pages,
    plan_pages,
    player_pages,
    day_pages,
    clip_pages,
    choice_pages,
    bucket_pages,
    reads_pages,
    report_pages,
    ball_pages,
    phone_pages,
    clinic_pages,
    errand_pages,
    tongue,
    operation,
    lesson_pages,
    acts_pages,
    api_routes,
    api_pages,
    sign_in_pages,
    account_pages,
    second_step_pages,
    people_pages,
    share_pages,
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
    upkeep = Upkeep(app.state.store)
    upkeep.start()
    try:
        yield
    finally:
        upkeep.stop()
        app.state.regularly.stop()
        app.state.jobs.let_go()


def make_app(
    data_dir: Path,
    hosts: frozenset[str],
    door: PhoneDoor | None = None,
    *,
    work: bool = True,
    regular_backups: bool = False,
) -> Watch:
    """The app over a data folder, answering to `hosts` (name:port) only; with a `door` also to paired phones.

    Without `work` it measures no clips: `threequarter work` does, in other processes. With `regular_backups` one is made a day.
    """
    app = FastAPI(
        title="threequarter",
        version=__version__,
        docs_url=None,
        redoc_url=None,
        openapi_url="/api/openapi.json",
        lifespan=_upkeep,
    )
    app.state.store = Store.open(data_dir)
    app.state.jobs = Jobs(Clips(app.state.store), work=work)
    app.state.jobs.start()
    app.state.regularly = Regularly(app.state.store, app.state.jobs.have_done)
    if regular_backups:
        app.state.regularly.start()
    app.state.pending = Pending(data_dir / "pending")
    app.state.pairing = door.pairing if door else None
    app.state.phone_addresses = (door.secure, door.plain) if door else ("", "")
    app.state.announced = door.announced if door else None
    app.state.authority = door.authority if door else None
    app.mount("/static", static_files(), name="static")
    for room in ROOMS:
        app.include_router(room.pages)
    add_errors(app)
    describe(app)
    app.state.figures = figures(app)
    inner = Door(app, app.state.store, app.state.pending)
    guard = Guard(
        inner, hosts, door.pairing if door else None, scripts=Tokens(app.state.store).rights_of, closed=lambda: inner.closed,
        proxies=proxies_from_environment(),
    )  # fmt: skip
    return Watch(guard, app.state.figures)

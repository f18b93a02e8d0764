"""The app: the rooms of the pages put together, and what is said when something goes wrong."""

import logging
import secrets
from dataclasses import dataclass
from pathlib import Path

from fastapi import FastAPI, Request
from fastapi.responses import JSONResponse, Response
from fastapi.staticfiles import StaticFiles
from starlette.exceptions import HTTPException

from threequarter import __version__
from threequarter.golf.errors import NoRoomError, NotNowError, UserError
from threequarter.store.clips import Clips
from threequarter.store.store import Store
from threequarter.web import (
    ball_pages,
    bucket_pages,
    choice_pages,
    clinic_pages,
    clip_pages,
    day_pages,
    intake_pages,
    phone_pages,
    plan_pages,
    player_pages,
    report_pages,
    session_pages,
    tongue,
)
from threequarter.web.guard import Guard
from threequarter.web.jobs import Jobs
from threequarter.web.parts import HERE, page
from threequarter.web.pending import Pending
from threequarter.web.phones.pairing import Pairing

LOG = logging.getLogger("threequarter.web")
RETRY_AFTER_S = "2"
ROOMS = (
    intake_pages,
    session_pages,
    plan_pages,
    player_pages,
    day_pages,
    clip_pages,
    choice_pages,
    bucket_pages,
    report_pages,
    ball_pages,
    phone_pages,
    clinic_pages,
    tongue,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PhoneDoor:
    """What phones need: who is paired, the trusted and the plain address, the authority's certificate."""

    pairing: Pairing
    secure: str
    plain: str
    authority: Path


def make_app(data_dir: Path, hosts: frozenset[str], door: PhoneDoor | None = None) -> Guard:
    """The app over a data folder, answering to `hosts` (name:port) only; with a `door` also to paired phones."""
    app = FastAPI(title="threequarter", version=__version__, docs_url=None, redoc_url=None)
    app.state.store = Store.open(data_dir)
    app.state.jobs = Jobs(Clips(app.state.store))
    app.state.jobs.start()
    app.state.pending = Pending(data_dir / "pending")
    app.state.pairing = door.pairing if door else None
    app.state.phone_addresses = (door.secure, door.plain) if door else ("", "")
    app.state.authority = door.authority if door else None
    app.mount("/static", StaticFiles(directory=HERE / "static"), name="static")
    for room in ROOMS:
        app.include_router(room.pages)
    app.get("/health")(_health)
    app.add_exception_handler(UserError, _user_error)
    app.add_exception_handler(HTTPException, _http_error)
    app.add_exception_handler(Exception, _bug)
    return Guard(app, hosts, door.pairing if door else None)


def _health() -> dict[str, str]:
    return {"status": "ok", "version": __version__}


async def _user_error(request: Request, error: Exception) -> Response:
    status = 503 if isinstance(error, NotNowError) else 507 if isinstance(error, NoRoomError) else 400
    if request.url.path.endswith(".json"):
        answer: Response = JSONResponse({"error": str(error)}, status_code=status)
    else:
        answer = page(request, "error.html", status, title="That did not work", says=str(error))
    if isinstance(error, NotNowError):
        answer.headers["retry-after"] = RETRY_AFTER_S
    return answer


async def _http_error(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 500
    says = "There is no such page." if status == 404 else "This cannot be done here."
    return page(request, "error.html", status, title="Not found" if status == 404 else "Not possible", says=says)


async def _bug(request: Request, error: Exception) -> Response:
    code = secrets.token_hex(3)
    LOG.error("error %s at %s", code, request.url.path, exc_info=error)
    says = f"Something broke on our side; nothing you entered is lost. The log has it under {code}."
    return page(request, "error.html", 500, title="Our mistake", says=says)

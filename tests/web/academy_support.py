"""An academy with two coaches, their players, a player's and a guardian's account, a link and a token: for the tests of
who sees what."""

import datetime
import hashlib
import re
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from unittest.mock import patch

from sqlalchemy import select
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.testclient import TestClient

from threequarter.demo import BUCKET
from threequarter.intake.load import read_content
from threequarter.intake.options import ReadOptions
from threequarter.store.accounts.accounts import Accounts
from threequarter.store.accounts.current_user import as_user
from threequarter.store.accounts.shares import Shares
from threequarter.store.accounts.sign_ins import SignIns, who_of
from threequarter.store.accounts.tables import AccountRow
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.clips.clips import Clips
from threequarter.store.database.schema import BallRow, ClinicRow, ClinicSessionRow, ClipRow, PlayerRow, TokenRow
from threequarter.store.people.roster import Roster
from threequarter.store.store import Store
from threequarter.store.tasks.tasks import Tasks
from threequarter.web.app import make_app
from threequarter.web.security.authorization import Authorization, AuthorizedRoute, Handler
from web_support import inner_of

HOST = "localhost:8754"
ROLES = ("head", "head in the room", "coach", "other coach", "player", "guardian", "token", "link", "nobody")


ONLY_ASKED: ContextVar[bool] = ContextVar("only_asked", default=False)


class Through:
    """The real routes with their real rules, behind which nothing is done: whoever is let through gets 200."""

    def __init__(self, inner: Any) -> None:
        self.inner = inner

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        if scope["type"] == "lifespan":
            for told in ("startup", "shutdown"):
                await receive()
                await send({"type": f"lifespan.{told}.complete"})
            return
        token = ONLY_ASKED.set(True)
        try:
            await self.inner(scope, receive, send)
        finally:
            ONLY_ASKED.reset(token)


async def _nothing_done(route: AuthorizedRoute, request: Request, answer: Handler) -> Response:
    return PlainTextResponse("") if ONLY_ASKED.get() else await answer(request)


@dataclass
class Academy:
    """The things of the first coach ("theirs"), and who can be asked as."""

    app: Any
    inner: Any
    store: Store
    doorway: Any
    ids: dict[str, Any] = field(default_factory=dict)
    cookies: dict[str, str] = field(default_factory=dict)
    secrets: dict[str, str] = field(default_factory=dict)
    accounts: dict[str, int] = field(default_factory=dict)
    clients: dict[str, TestClient] = field(default_factory=dict)
    open_clients: ExitStack = field(default_factory=ExitStack)

    def client(self, role: str) -> TestClient:
        """A browser, script or stranger; the same one for each role."""
        return self._opened(role, self.app)

    def at_the_door(self, role: str) -> TestClient:
        """The same, at the real door with the real routes, behind which 200 is answered to whatever is let through."""
        return self._opened(role, self.doorway)

    def _opened(self, role: str, app: Any) -> TestClient:
        key = f"{role} {id(app)}"
        if key not in self.clients:
            self.clients[key] = self.open_clients.enter_context(self._client(role, app))
        return self.clients[key]

    def _client(self, role: str, app: Any) -> TestClient:
        client = TestClient(app, base_url=f"http://{HOST}", raise_server_exceptions=False, follow_redirects=False)
        if role in self.cookies:
            client.cookies.set("threequarter_account", self.cookies[role])
        if role == "token":
            client.headers["authorization"] = f"Bearer {self.secrets['token']}"
        return client


def who(store: Store, account_id: int) -> Any:
    """What an account sees."""
    with store.reading() as session:
        return who_of(session, session.get_one(AccountRow, account_id))


@contextmanager
def academy(folder: Path) -> Iterator[Academy]:
    """Everything made anew in a folder (or the database of the environment)."""
    app = make_app(folder, frozenset({HOST}))
    inner = inner_of(app)
    store = inner.state.store
    made = Academy(app=app, inner=inner, store=store, doorway=Authorization(Through(inner), store, inner.state.pending))
    people = Accounts(store)
    for name, role in (("Kim Fescue", "head"), ("Ash Marram", "coach"), ("Lee Bent", "coach")):
        made.accounts[name] = people.add(role, name)
    with as_user(who(store, made.accounts["Ash Marram"])):
        kept = store.keep_reading(
            read_content(BUCKET.read_bytes(), "demo bucket.csv", "table", ReadOptions()),
            BUCKET.read_bytes(),
            name="demo bucket.csv",
            player="Robin Sedge",
        )
        session_id = kept.session_id
        Roster(store).note("Robin Sedge", "keeps the hands quiet")
        Roster(store).note("Sam Lyme", "has a new putter")  # another person of one name, in the other room
        bucket_id = PhoneBalls(store).begin("Robin Sedge")
        edit = store.leave_out(store.kept_balls(session_id)[0].id, "a test")
        key = inner.state.pending.put("table.csv", BUCKET.read_bytes(), "table")
        task = Tasks(store).add("print", {"sessions": [session_id]})
        with store.writing() as writing:
            Tasks(store).done(writing, task, {}, b"%PDF-1.7")
        made.secrets["link"] = Shares(store).make(session_id, "report")
    with as_user(who(store, made.accounts["Lee Bent"])):
        Roster(store).note("Sam Lyme", "tees it low")
        Roster(store).add("Jo Reed")
    with store.writing() as session:
        player = session.scalars(select(PlayerRow).where(PlayerRow.name == "Robin Sedge")).one()
        clip = ClipRow(
            session_id=session_id,
            name="clip.mp4",
            suffix=".mp4",
            size=4,
            received=4,
            state="failed",
            progress=0.0,
            made_at=datetime.datetime(2026, 1, 1),
            error="nothing seen",
        )
        clinic = ClinicRow(
            coach_id=made.accounts["Ash Marram"],
            name="Saturday",
            held_on=datetime.date(2026, 1, 1),
            clubs='["50"]',
            swings='["waist"]',
            balls_each=5,
            made_at=datetime.datetime(2026, 1, 1),
        )
        session.add_all([clip, clinic])
        session.flush()
        session.add(ClinicSessionRow(clinic_id=clinic.id, session_id=bucket_id, place=0))
        made.ids = {
            "session_id": session_id,
            "clip_id": clip.id,
            "clinic_id": clinic.id,
            "name:path": "Robin Sedge",
            "player": player.id,
            "import_id": kept.import_id,
            "ball_id": session.scalar(select(BallRow.id).where(BallRow.import_id == kept.import_id)),
            "note_id": 1,
            "key": key,
            "edit": edit,
            "bucket": bucket_id,
            "share_id": 1,
            "task_id": task,
        }
    pictures = Clips(store).folder(clip_id := made.ids["clip_id"]) / "pictures"
    pictures.mkdir(parents=True)
    (pictures / "swing1.svg").write_text("<svg xmlns='http://www.w3.org/2000/svg'/>")
    (pictures.parent / "clip.mp4").write_bytes(b"a film")
    assert clip_id
    made.accounts["Robin"] = people.add("player", "Robin", players=(made.ids["player"],))
    made.accounts["Pat Sedge"] = people.add("guardian", "Pat Sedge", players=(made.ids["player"],))
    made.ids |= {"account_id": made.accounts["Robin"]}
    ins = SignIns(store)
    for role, name in (
        ("head", "Kim Fescue"),
        ("head in the room", "Kim Fescue"),
        ("coach", "Ash Marram"),
        ("other coach", "Lee Bent"),
        ("player", "Robin"),
        ("guardian", "Pat Sedge"),
    ):
        made.cookies[role] = ins.begin(made.accounts[name])
    opened = ins.who(made.cookies["head in the room"])
    assert opened
    ins.open_room(opened.id, made.accounts["Ash Marram"])
    made.secrets["token"] = "tq_script-token-of-the-coach"
    with as_user(who(store, made.accounts["Ash Marram"])), store.writing() as session:
        session.add(
            TokenRow(
                name="script",
                fingerprint=hashlib.sha256(b"tq_script-token-of-the-coach").hexdigest(),
                rights="write",
                made_at=datetime.datetime(2026, 1, 1),
                used_at=None,
            )
        )
    try:
        with patch.object(AuthorizedRoute, "answer", _nothing_done):
            yield made
    finally:
        made.open_clients.close()
        store.close()


def path_of(route: str, ids: dict[str, Any]) -> str:
    """The address of a route with its parts filled in."""

    def fill(match: re.Match[str]) -> str:
        return str(ids[match[1]]).replace(" ", "%20").replace("#", "%23")

    return re.sub(r"\{([^}]+)\}", fill, route)

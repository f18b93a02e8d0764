"""Two rooms of one academy, furnished alike. What lies in the second has numbers from THEIRS on in every table, so that one number
names a thing of each kind; the database itself notes whoever touches a row of it."""

import asyncio
import datetime
import hashlib
import sqlite3
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from unittest.mock import patch

import httpx2
from sqlalchemy import Integer, Table
from tests.store.rows_of_each import TABLES, _value
from tests.web.academy_support import HOST, who

from threequarter.store.accounts import audit, rate_limit
from threequarter.store.accounts.accounts import Accounts
from threequarter.store.accounts.current_user import as_user
from threequarter.store.accounts.secrets import new_secret
from threequarter.store.accounts.shares import Shares
from threequarter.store.accounts.sign_ins import SignIns
from threequarter.store.accounts.tables import PasskeyRow
from threequarter.store.accounts.tokens import Tokens
from threequarter.store.balls.conflicts import Conflicts
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.clips.clips import Clips
from threequarter.store.clips.lessons import Lessons
from threequarter.store.database.schema import BallRow, ClipRow, PlayerRow
from threequarter.store.history.trash import Trash
from threequarter.store.imports import import_batch
from threequarter.store.imports.save_import import now_utc
from threequarter.store.people.clinics import Clinics
from threequarter.store.people.consents import Consents
from threequarter.store.people.roster import Roster
from threequarter.store.store import Store
from threequarter.store.tasks.tasks import Tasks
from threequarter.web.app import make_app
from web_support import inner_of

THEIRS, NOT_THERE = 7707, 8808
UNWATCHED = {"audit", "tries", "challenge", "import_shape"}
"""What belongs to no room: the record, counts of tries, pass phrases of a moment."""


@dataclass
class Room:
    """What lies in a room, by the name that a part of an address, a field or a body has for it."""

    coach: int
    things: dict[str, Any] = field(default_factory=dict)
    secrets: dict[str, str] = field(default_factory=dict)
    cookies: dict[str, str] = field(default_factory=dict)


def furnish(store: Store, pending: Any, mark: str) -> Room:
    """A coach with one of everything. `mark` is in every name and key, and of one length in both rooms."""
    people = Accounts(store)
    room = Room(people.add("coach", f"{mark} Marram"))
    with as_user(who(store, room.coach)):
        room.things = _days(store, mark)
        room.things |= _films(store, mark, room.things["session_id"])
        day, name = room.things["session_id"], f"{mark} Sedge"
        Roster(store).note(name, f"{mark} keeps the hands quiet")
        Roster(store).add(f"{mark} Quill")
        task = Tasks(store).add("print", {"sessions": [day]})
        with store.writing() as writing:
            Tasks(store).done(writing, task, {}, b"%PDF-1.7")
        room.things |= {
            "key": pending.put(f"{mark}.csv", table(mark), "table"),
            "clinic_id": Clinics(store).newest(1)[0].id,
            "note_id": Roster(store).notes(name)[0].id,
            "task_id": task,
            "edit": store.leave_out(store.kept_balls(day)[0].id, "a test"),
            "link": Lessons(store).link(room.things["clip_id"], 1, room.things["ball_id"]),
        }
        room.secrets["link"] = Shares(store).make(day, "report")
        room.things["share_id"] = max(one.id for one in Shares(store).of_sessions([day]))
        room.secrets["token"] = Tokens(store).add(f"{mark} nightly", "write")
        room.things["token_id"] = Tokens(store).all()[0].id
        with store.reading() as session:
            player = session.query(PlayerRow.id).filter_by(name=name).one()[0]
    _ways_in(store, room, mark, player)
    return room


def table(mark: str) -> bytes:
    return f"Player,Club,Swing,Carry (m)\n{mark} Sedge,54,waist,30.1\n{mark} Sedge,54,waist,31.4\n".encode()


def _days(store: Store, mark: str) -> dict[str, Any]:
    looked = import_batch.inspect_file(table(mark) + f"{mark} Sedge,54,chest,44.4\n".encode(), f"{mark} day.csv")
    kept = import_batch.save_batch(store, [looked])
    day, balls = kept.sessions[0], PhoneBalls(store)
    Clinics(store).begin([f"{mark} Sedge"], ["54"], ["waist"], 5, unit="m", name="Saturday")
    typed = [
        {"key": f"{mark}-key-{n}", "club": "54", "swing": "waist", "carry": 30.0 + n, "unit": "m"} for n in range(3)
    ]
    begun = hashlib.sha256(mark.encode()).hexdigest()[:32]
    bucket = balls.begin(f"{mark} Sedge", "m", key=begun)
    balls.take(bucket, typed, phone=f"{mark}-phone")
    balls.take(bucket, [typed[0] | {"carry": 99.0}])
    binned = balls.begin(f"{mark} Sedge", "m")
    Trash(store).put_session(binned)
    with store.reading() as session:
        found = session.query(BallRow.import_id).filter_by(client_key=f"{mark}-key-0").one()
    return {
        "session_id": day,
        "bucket": bucket,
        "begun": begun,
        "binned": binned,
        "import_id": found[0],
        "ball_id": store.kept_balls(day)[1].id,
        "batch": kept.batch,
        "ball_key": f"{mark}-key-0",
        "conflict": Conflicts(store).conflicts(bucket)[0].id,
        "player": f"{mark} Sedge",
    }


def _films(store: Store, mark: str, day: int) -> dict[str, Any]:
    player = f"{mark} Sedge"
    Consents(store).give_for(player, player)
    with store.writing() as session:
        clips = [
            ClipRow(session_id=day, name=f"{mark}.mp4", suffix=".mp4", size=4, received=4, state=state, progress=0.0)
            for state in ("failed", "failed")
        ]
        for clip in clips:
            clip.made_at = now_utc()
        session.add_all(clips)
        session.flush()
        numbers = [clip.id for clip in clips]
    for number in numbers:
        pictures = Clips(store).folder(number) / "pictures"
        pictures.mkdir(parents=True)
        (pictures / "swing1.svg").write_text(f"<svg xmlns='http://www.w3.org/2000/svg'><!-- {mark} --></svg>")
        (pictures.parent / "clip.mp4").write_bytes(mark.encode())
    Trash(store).put_clip(numbers[1])
    return {"clip_id": numbers[0], "binned clip": numbers[1]}


def _ways_in(store: Store, room: Room, mark: str, player: int) -> None:
    people = Accounts(store)
    accounts = {
        "coach": room.coach,
        "player": people.add("player", f"{mark} Rush", players=(player,)),
        "guardian": people.add("guardian", f"{mark} Reed", players=(player,)),
    }
    room.things["account_id"] = accounts["player"]
    room.secrets["invitation"] = people.invite(accounts["guardian"])
    for role, number in accounts.items():
        room.cookies[role] = SignIns(store).begin(number)
    room.secrets["cookie"] = SignIns(store).begin(room.coach)
    with store.writing() as session, as_user(None):
        key = PasskeyRow(account_id=room.coach, key=new_secret(), credential=mark, public_key="k", sign_count=0)
        key.name, key.made_at, key.used_at = mark, now_utc(), None
        session.add(key)
        session.flush()
        room.things["passkey_id"] = key.id
    signed_in = SignIns(store).who(room.secrets["cookie"])
    assert signed_in
    room.things["sign_in_id"] = signed_in.id


def _numbered(one: Table) -> bool:
    keys = list(one.primary_key.columns)
    return len(keys) == 1 and keys[0].name == "id"


def _of(column: Any) -> str:
    """The table that a number points to, "" where it is none."""
    if not isinstance(column.type, Integer):
        return ""
    if column.foreign_keys:
        return str(next(iter(column.foreign_keys)).column.table.name)
    return "account" if column.name in ("coach_id", "room", "account_id") else ""


class Watched:
    """The database from outside: what was changed since the last look, whose it was, and back to how it was."""

    def __init__(self, file: Path) -> None:
        self.on = sqlite3.connect(file, isolation_level=None, check_same_thread=False)
        self.on.execute("PRAGMA synchronous=OFF")
        self.kept = sqlite3.connect(":memory:", check_same_thread=False)

    def place_holders(self, number: int) -> None:
        """A row of that number in every table, so that the next one follows it; rows of nobody."""
        for one in filter(_numbered, TABLES):
            columns = [column for column in one.columns if not column.nullable]
            values = [number if isinstance(column.type, Integer) else _value(column, 3) for column in columns]
            names, marks = ", ".join(f'"{column.name}"' for column in columns), ", ".join("?" * len(columns))
            texts = [str(value) if isinstance(value, datetime.date) else value for value in values]
            self.on.execute(f'INSERT INTO "{one.name}" ({names}) VALUES ({marks})', texts)

    def forget(self, number: int) -> None:
        for one in filter(_numbered, TABLES):
            self.on.execute(f'DELETE FROM "{one.name}" WHERE id = ?', (number,))

    def watch(self) -> None:
        """From now on each change of a row of theirs, and each new row that points to one, is noted by the database."""
        self.on.execute("CREATE TABLE touched (what TEXT)")
        for one in TABLES:
            if one.name in UNWATCHED:
                continue
            pointing = [(column.name, _of(column)) for column in one.columns if _of(column)]
            own = [("id", one.name)] if _numbered(one) else pointing
            for act, row, names in (("UPDATE", "OLD", own), ("DELETE", "OLD", own), ("INSERT", "NEW", pointing)):
                if names:
                    when = " OR ".join(f'{row}."{name}" BETWEEN {THEIRS} AND {self._last(of)}' for name, of in names)
                    self.on.execute(
                        f'CREATE TRIGGER "{act} {one.name}" AFTER {act} ON "{one.name}" WHEN {when} '
                        f"BEGIN INSERT INTO touched VALUES ('{act} {one.name}'); END"
                    )
        self.on.backup(self.kept)
        self.version = self._version()

    def _last(self, table: str) -> int:
        return int(self.on.execute(f'SELECT max(id) FROM "{table}"').fetchone()[0] or 0)

    def _version(self) -> int:
        return int(self.on.execute("PRAGMA data_version").fetchone()[0])

    def put_back(self) -> list[str]:
        """What was done to rows of theirs since; all is as it was afterwards."""
        if self._version() == self.version:
            return []
        found = [row[0] for row in self.on.execute("SELECT DISTINCT what FROM touched")]
        self.kept.backup(self.on)
        self.version = self._version()
        return found


class Client:
    """Somebody who asks the app in this thread: thousands of questions want no thread each. It keeps no cookie it is given."""

    def __init__(self, loop: asyncio.Runner, app: Any) -> None:
        self.loop, self.who = loop, dict[str, str]()
        self.through = httpx2.ASGITransport(app, raise_app_exceptions=False)

    def request(self, method: str, path: str, **more: Any) -> Any:
        return self.loop.run(self._request(method, path, **more))

    async def _request(self, method: str, path: str, **more: Any) -> Any:
        async with httpx2.AsyncClient(transport=self.through, base_url=f"http://{HOST}", headers=self.who) as client:
            return await client.request(method, path, **more)


@dataclass
class Rooms:
    """Both rooms, and browsers and scripts of the first."""

    inner: Any
    mine: Room
    theirs: Room
    watched: Watched
    clients: dict[str, Client]


@contextmanager
def two_rooms(folder: Path) -> Iterator[Rooms]:
    """A head, and two coaches with a room each; no limit of tries, no record."""
    app = make_app(folder, frozenset({HOST}), work=False)  # a worker would go on in a database that is put back
    inner = inner_of(app)
    store, pending = inner.state.store, inner.state.pending
    most = [name for name in vars(rate_limit) if name.startswith("MOST_")]
    with ExitStack() as ends:
        ends.callback(store.close)
        ends.enter_context(patch.multiple(rate_limit, **dict.fromkeys(most, 10**9)))
        head = Accounts(store).add("head", "Kim Fescue")
        mine = furnish(store, pending, "Aa")
        watched = Watched(folder / "threequarter.db")
        ends.callback(watched.on.close)
        ends.callback(watched.kept.close)
        watched.place_holders(THEIRS - 1)
        theirs = furnish(store, pending, "Zz")
        watched.forget(THEIRS - 1)
        mine.cookies["head"] = SignIns(store).begin(head)
        watched.watch()
        ends.enter_context(patch.object(audit, "record", lambda *_told, **_more: None))
        loop = ends.enter_context(asyncio.Runner())
        clients = {role: Client(loop, app) for role in (*mine.cookies, "script")}
        for role, cookie in mine.cookies.items():
            clients[role].who["cookie"] = f"threequarter_account={cookie}"
        clients["script"].who["authorization"] = f"Bearer {mine.secrets['token']}"
        yield Rooms(inner, mine, theirs, watched, clients)

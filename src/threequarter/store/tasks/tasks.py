"""Background tasks: long work that was asked for, kept as rows until it is done, whatever happens to the server meanwhile.

A row says what was asked and how far it is, and holds the files it works on, so that a worker on any machine can do it. Whoever
does a task may do it twice or be killed half way: what it changes and the word that it is done go into one transaction.
"""

import datetime
import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal

from sqlalchemy import delete, select, update
from sqlalchemy.orm import Session

from threequarter.golf.errors import NotThereError, UserError
from threequarter.golf.message import Message
from threequarter.store.database.schema import TaskRow
from threequarter.store.imports.save_import import now_utc
from threequarter.store.messages import message_from_text, message_to_text
from threequarter.store.store import Store

Kind = Literal["import", "print", "backup"]
OPEN: Final = ("waiting", "running")
FILES_KEPT: Final = datetime.timedelta(days=1)
ROWS_KEPT: Final = datetime.timedelta(days=7)
ENGLISH: Final = "en"
FORGOTTEN: Final = Message("store.task_forgotten")


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """A task as it is known; `result` is what it did, None before it is done."""

    id: int
    kind: Kind
    asked: dict[str, Any]
    account_id: int
    room: int
    language: str
    state: str
    progress: float
    result: dict[str, Any] | None
    error: Message | str | None
    made_at: datetime.datetime

    @property
    def open(self) -> bool:
        """Whether it is still to be done."""
        return self.state in OPEN


class Tasks:
    """The tasks of a store."""

    def __init__(self, store: Store) -> None:
        self.store = store

    def add(self, kind: Kind, asked: dict[str, Any], files: Sequence[bytes] = (), *, language: str = ENGLISH) -> int:
        """Keeps what is to be done, the files it is to be done with and the language to do it in; returns its id."""
        with self.store.writing() as session:
            sizes = {"sizes": [len(one) for one in files]}
            return _added(session, kind, asked | sizes, b"".join(files) or None, language)

    def add_only(self, kind: Kind) -> int | None:
        """One with nothing to say, unless one of its kind is open already: then None."""
        with self.store.writing() as session:
            if session.scalars(select(TaskRow.id).where(TaskRow.kind == kind, TaskRow.state.in_(OPEN))).first():
                return None
            return _added(session, kind, {}, None, ENGLISH)

    def task(self, task_id: int) -> Task:
        """One task. Raises NotThereError where there is none."""
        with self.store.reading() as session:
            return _told(_row(session, task_id))

    def files(self, task_id: int) -> list[bytes]:
        """The files it is to be done with. Raises NotThereError where they are gone."""
        with self.store.reading() as session:
            row = _row(session, task_id)
            content, sizes = row.content, json.loads(row.asked).get("sizes", ())
            if content is None:
                raise NotThereError(Message("store.its_files_were_kept_for"))
            ends = [sum(sizes[: number + 1]) for number in range(len(sizes))]
            return [content[end - size : end] for end, size in zip(ends, sizes, strict=True)]

    def made(self, task_id: int) -> bytes | None:
        """The file it made, None where there is none, or none any more."""
        with self.store.reading() as session:
            return _row(session, task_id).made

    def unfinished(self) -> list[int]:
        """Those that are still to be done, oldest first."""
        with self.store.reading() as session:
            return list(session.scalars(select(TaskRow.id).where(TaskRow.state.in_(OPEN)).order_by(TaskRow.id)))

    def newest(self, kind: Kind) -> Task | None:
        """The last that was asked of a kind."""
        with self.store.reading() as session:
            row = session.scalars(select(TaskRow).where(TaskRow.kind == kind).order_by(TaskRow.id.desc())).first()
            return _told(row) if row else None

    def listed(self, states: Sequence[str], most: int = 50) -> list[Task]:
        """Those in some states, the newest first."""
        with self.store.reading() as session:
            mine = select(TaskRow).where(TaskRow.state.in_(states)).order_by(TaskRow.id.desc()).limit(most)
            return [_told(row) for row in session.scalars(mine)]

    def begin(self, task_id: int) -> bool:
        """Notes that it is begun; False for one that is done, failed or gone."""
        with self.store.writing() as session:
            row = session.get(TaskRow, task_id)
            if row is None or row.state not in OPEN:
                return False
            row.state, row.progress = "running", 0.0
            return True

    def progress(self, task_id: int, share: float) -> None:
        """Keeps how far it is, 0 to 1."""
        with self.store.writing() as session:
            row = session.get(TaskRow, task_id)
            if row is not None and row.state == "running":
                row.progress = share

    def done(self, session: Session, task_id: int, result: dict[str, Any], made: bytes | None = None) -> None:
        """Keeps what it did, in the transaction in which it was done. Raises UserError where another one did it meanwhile."""
        row = session.get(TaskRow, task_id)
        if row is None or row.state not in OPEN:
            raise UserError(Message("store.this_was_done_meanwhile_or"))
        row.result, row.made, row.content, row.progress = json.dumps(result), made, None, 1.0
        _end(row, "done")

    def fail(self, task_id: int, why: Message | str) -> None:
        """Keeps why it cannot be done; one that is done stays so."""
        with self.store.writing() as session:
            row = session.get(TaskRow, task_id)
            if row is not None and row.state in OPEN:
                _end(row, "failed", why)

    def again(self, task_id: int) -> None:
        """Has a failed one tried once more. Raises UserError for one that did not fail, or whose files are gone."""
        with self.store.writing() as session:
            row = _row(session, task_id)
            if row.state != "failed":
                raise UserError(Message("store.work_did_not_fail", id=task_id))
            if row.error == message_to_text(FORGOTTEN):
                raise UserError(FORGOTTEN)
            if row.kind == "import" and row.content is None:
                raise UserError(Message("store.its_files_were_kept_for"))
            row.state, row.error, row.ended_at = "waiting", None, None

    def forget_old(self) -> None:
        """Drops the files of those that ended a day ago, and the rows a week later."""
        now = now_utc()
        with self.store.writing() as session:
            session.execute(delete(TaskRow).where(TaskRow.ended_at < now - ROWS_KEPT))
            old = update(TaskRow).where(TaskRow.ended_at < now - FILES_KEPT)
            session.execute(old.values(content=None, made=None))


def forget_all(session: Session) -> None:
    """Takes what tasks hold of people out of their rows: somebody is erased. Tables that waited are told so, and not read."""
    for row in session.scalars(select(TaskRow).where(TaskRow.kind != "backup")):
        if row.state in OPEN:
            _end(row, "failed", FORGOTTEN)
        row.asked, row.result, row.content, row.made = "{}", None, None, None


def _added(session: Session, kind: str, asked: dict[str, Any], content: bytes | None, language: str) -> int:
    row = TaskRow(
        kind=kind,
        asked=json.dumps(asked, ensure_ascii=False),
        content=content,
        language=language,
        state="waiting",
        progress=0.0,
        made_at=now_utc(),
    )
    session.add(row)
    session.flush()
    return row.id


def _end(row: TaskRow, state: str, error: Message | str | None = None) -> None:
    row.state, row.error, row.ended_at = state, None if error is None else message_to_text(error), now_utc()


def _row(session: Session, task_id: int) -> TaskRow:
    row = session.get(TaskRow, task_id)
    if row is None:
        raise NotThereError(Message("store.there_is_no_work_it", id=task_id))
    return row


def _told(row: TaskRow) -> Task:
    return Task(
        id=row.id,
        kind=row.kind,  # type: ignore[arg-type]
        asked=json.loads(row.asked),
        account_id=row.account_id,
        room=row.room,
        language=row.language,
        state=row.state,
        progress=row.progress,
        result=json.loads(row.result) if row.result else None,
        error=None if row.error is None else message_from_text(row.error),
        made_at=row.made_at,
    )

"""Clips: their bytes as they come in, their analysis, consent, and deleting one with everything made from it."""

import datetime
import json
import os
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from threequarter.golf.errors import UserError
from threequarter.golf.language import _
from threequarter.store.consents import Consents
from threequarter.store.keeping import now_utc
from threequarter.store.on_disk import sync_folder
from threequarter.store.schema import ClipRow, LinkRow, SessionRow
from threequarter.store.store import Store

SUFFIXES: Final = (".mp4", ".mov", ".m4v", ".mkv", ".webm")
MOST_BYTES: Final = 4 * 2**30
MOST_PART: Final = 16 * 2**20


@dataclass(frozen=True, slots=True, kw_only=True)
class Clip:
    """A clip as it is known; `answer` is what `swings_answer` said, None before. `filmed_at`: its first picture, where known (UTC)."""

    id: int
    session_id: int | None
    name: str
    size: int
    received: int
    state: str
    progress: float
    felt: str | None
    answer: dict[str, Any] | None
    error: str | None
    marks: dict[str, Any] | None = None
    made_at: datetime.datetime | None = None
    filmed_at: datetime.datetime | None = None
    binned: bool = False


class Clips:
    """The clips of a store."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self.root = store.clips_dir

    def folder(self, clip_id: int) -> Path:
        """Where a clip and everything made from it lies."""
        return self.root / str(clip_id)

    def file(self, clip_id: int) -> Path:
        """The film itself. Raises UserError where there is none."""
        with self.store.reading() as session:
            return self.folder(clip_id) / f"clip{_row(session, clip_id).suffix}"

    def begin(self, name: str, size: int, *, session_id: int | None = None, felt: str | None = None) -> int:
        """A clip that is about to come; returns its id. Raises UserError for a kind or size that is not taken."""
        suffix = Path(name).suffix.casefold()
        if suffix not in SUFFIXES:
            raise UserError(
                _("{name} is no video this tool reads. Use MP4, MOV, MKV or WebM.").format(name=Path(name).name[:80])
            )
        if not 0 < size <= MOST_BYTES:
            raise UserError(
                _("A clip has 1 byte to {most} GB, not {size}. Cut it first.").format(
                    most=MOST_BYTES // 2**30, size=size
                )
            )
        if shutil.disk_usage(_there(self.root)).free < size + 200 * 2**20:
            raise UserError(_("There is not enough room on the disk for this clip. Delete old clips, or make room."))
        with self.store.writing() as session:
            if session_id is not None and session.get(SessionRow, session_id) is None:
                raise UserError(_("There is no session {session_id}.").format(session_id=session_id))
            row = ClipRow(session_id=session_id, name=Path(name).name[:300], suffix=suffix, size=size, received=0, state="coming",
                          progress=0.0, felt=(felt or "").strip()[:200] or None, made_at=now_utc())  # fmt: skip
            session.add(row)
            session.flush()
            clip_id = row.id
        self.folder(clip_id).mkdir(parents=True, exist_ok=True, mode=0o700)
        sync_folder(self.store.data_dir)
        sync_folder(self.root)
        return clip_id

    def take(self, clip_id: int, at: int, part: bytes) -> Clip:
        """Writes a part that begins at byte `at`; a part that was taken before changes nothing. Returns the clip.

        The bytes are on the disk before the count says so. Raises UserError for a part that leaves a gap or overflows.
        """
        with self.store.writing() as session:
            row = _row(session, clip_id)
            if at > row.received or at + len(part) > row.size or len(part) > MOST_PART:
                raise UserError(
                    _("The next part of this clip begins at byte {received}, not {at}.").format(
                        received=row.received, at=at
                    )
                )
            fresh = part[row.received - at :]
            if fresh and row.state == "coming":
                with (self.folder(clip_id) / f"clip{row.suffix}").open("r+b" if row.received else "wb") as file:
                    file.seek(row.received)
                    file.write(fresh)
                    file.flush()
                    os.fsync(file.fileno())
                if row.received == 0:
                    sync_folder(self.folder(clip_id))
                row.received += len(fresh)
                if row.received == row.size:
                    row.state = "waiting"
            return _clip(row)

    def clip(self, clip_id: int) -> Clip:
        """One clip. Raises UserError where there is none."""
        with self.store.reading() as session:
            return _clip(_row(session, clip_id))

    def of_session(self, session_id: int | None) -> list[Clip]:
        """The clips of a session (None: those of no session) that are not in the bin, oldest first."""
        mine = ClipRow.session_id.is_(None) if session_id is None else ClipRow.session_id == session_id
        with self.store.reading() as session:
            rows = session.scalars(select(ClipRow).where(mine, ClipRow.binned_at.is_(None)).order_by(ClipRow.id))
            return [_clip(row) for row in rows]

    def swings_of(self, session_id: int | None) -> list[dict[str, Any]]:
        """The swings measured in the clips of a session, in order."""
        return [swing for clip in self.of_session(session_id) if clip.answer for swing in clip.answer["swings"]]

    def unfinished(self) -> list[int]:
        """Clips that have come whole and are not analysed yet."""
        with self.store.reading() as session:
            return list(
                session.scalars(
                    select(ClipRow.id).where(ClipRow.state.in_(("waiting", "running"))).order_by(ClipRow.id)
                )
            )

    def mark(
        self,
        clip_id: int,
        state: str,
        *,
        progress: float = 0.0,
        answer: dict[str, Any] | None = None,
        error: str | None = None,
    ) -> bool:
        """Keeps how far a clip is; False where it was deleted meanwhile."""
        with self.store.writing() as session:
            row = session.get(ClipRow, clip_id)
            if row is None:
                return False
            row.state, row.progress, row.error = state, progress, error
            if answer is not None:
                row.answer = json.dumps(answer)
            return True

    def set_filmed_at(self, clip_id: int, at: datetime.datetime) -> None:
        """Keeps when the first picture of a clip was taken. Does nothing where it was deleted meanwhile."""
        with self.store.writing() as session:
            row = session.get(ClipRow, clip_id)
            if row is not None:
                row.filmed_at = at

    def keep_marks(self, clip_id: int, marks: dict[str, Any]) -> None:
        """Keeps a coach's corrections beside what was found; empty ones are taken away. Raises UserError where there is no clip."""
        with self.store.writing() as session:
            _row(session, clip_id).marks = json.dumps(marks) if marks else None

    def delete(self, clip_id: int) -> int | None:
        """Deletes a clip and everything made from it for good; returns its session. Raises UserError where there is none."""
        with self.store.writing() as session:
            row = _row(session, clip_id)
            session_id = row.session_id
            session.execute(delete(LinkRow).where(LinkRow.clip_id == clip_id))
            session.delete(row)
        shutil.rmtree(self.folder(clip_id), ignore_errors=True)
        return session_id

    def agreed(self, session_id: int | None) -> bool:
        """Whether the player of a session agrees to be filmed (or a guardian did)."""
        return Consents(self.store).stands(session_id)

    def agree(self, session_id: int | None, by_whom: str) -> None:
        """Keeps that the player of a session agreed, once."""
        Consents(self.store).give(session_id, by_whom)


def _there(folder: Path) -> Path:
    """A folder, or the nearest above it that exists."""
    return next(parent for parent in (folder, *folder.absolute().parents) if parent.exists())


def _row(session: Session, clip_id: int) -> ClipRow:
    row = session.get(ClipRow, clip_id)
    if row is None:
        raise UserError(_("There is no clip {clip_id}; it may have been deleted.").format(clip_id=clip_id))
    return row


def _clip(row: ClipRow) -> Clip:
    from threequarter.swing.answer import said_again

    answer = said_again(json.loads(row.answer)) if row.answer else None
    return Clip(
        id=row.id, session_id=row.session_id, name=row.name, size=row.size, received=row.received, state=row.state,
        progress=row.progress, felt=row.felt, answer=answer, error=row.error,
        marks=json.loads(row.marks) if row.marks else None, made_at=row.made_at, filmed_at=row.filmed_at, binned=row.binned_at is not None,
    )  # fmt: skip

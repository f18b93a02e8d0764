"""Clips: their bytes as they come in, their analysis, consent, and deleting one with everything made from it."""

import contextlib
import datetime
import json
import shutil
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from threequarter.golf.errors import NotNowError, NotThereError, UserError
from threequarter.golf.message import Message
from threequarter.store.accounts.current_user import current_user
from threequarter.store.database.fsync import lock_file, sync_folder
from threequarter.store.database.schema import ClipRow, LinkRow, SessionRow
from threequarter.store.imports.save_import import now_utc
from threequarter.store.media.media_deletion import ask_for_films, deleting_media, trim
from threequarter.store.media.media_files import digest_of, move_over, part_of, put_in_place, sync_tree, write_part
from threequarter.store.media.s3_cache import MADE, name_of
from threequarter.store.messages import message_from_text, message_to_text
from threequarter.store.people.consents import Consents
from threequarter.store.store import Store
from threequarter.swing.film_time import film_times, first_picture_at
from threequarter.swing.tags import strip_tags

SUFFIXES: Final = (".mp4", ".mov", ".m4v", ".mkv", ".webm")
MOST_BYTES: Final = 4 * 2**30
MOST_PART: Final = 16 * 2**20
SHARED_DISK_S: Final = 10.0
"""How long a shared disk may take to show on one machine what another has written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Clip:
    """A clip as it is known; `answer` is what `swings_answer` said when it was measured, None before. `filmed_at`: its first picture, where known (UTC). Not `filmed`: seen live, no film kept."""

    id: int
    session_id: int | None
    name: str
    size: int
    received: int
    state: str
    progress: float
    felt: str | None
    answer: dict[str, Any] | None
    error: Message | str | None
    marks: dict[str, Any] | None = None
    made_at: datetime.datetime | None = None
    filmed_at: datetime.datetime | None = None
    binned: bool = False
    filmed: bool = True


class Clips:
    """The clips of a store."""

    def __init__(self, store: Store) -> None:
        self.store, self.s3_cache = store, store.s3_cache
        self.root = store.clips_dir

    def folder(self, clip_id: int) -> Path:
        """Where a clip and everything made from it lies."""
        return self.root / str(clip_id)

    def file(self, clip_id: int) -> Path:
        """The film itself. Raises UserError where there is none, NotNowError where it cannot be fetched now."""
        with self.store.reading() as session:
            row = _row(session, clip_id)
            film, name, wanted = self._film(row), name_of(row.id, row.made_at), row.sha256
            settled = row.state != "coming"
        if self.s3_cache and settled:
            fresh = not film.exists()
            self.s3_cache.film(name, film, wanted)
            if fresh:
                trim(self.store)
        return film

    def made(self, clip_id: int) -> Path:
        """The folder with what was made from a film. Raises UserError where there is no clip, NotNowError where it cannot be fetched now."""
        folder = self.folder(clip_id)
        if self.s3_cache:
            with self.store.reading() as session:
                row = _row(session, clip_id)
                name, done = name_of(row.id, row.made_at), row.state == "done"
            if done:
                self.s3_cache.made(name, folder)
        return folder

    def begin(self, name: str, size: int, *, session_id: int | None = None, felt: str | None = None) -> int:
        """A clip that is about to come; returns its id. Raises UserError for a kind or size that is not taken."""
        suffix = Path(name).suffix.casefold()
        if suffix not in SUFFIXES:
            raise UserError(Message("store.is_no_video_this_tool", name=Path(name).name[:80]))
        if not 0 < size <= MOST_BYTES:
            raise UserError(Message("store.a_clip_has_1_byte", most=MOST_BYTES // 2**30, size=size))
        if shutil.disk_usage(_there(self.root)).free < size + 200 * 2**20:
            raise UserError(Message("store.there_is_not_enough_room"))
        who = current_user()
        if session_id is None and who is not None and not who.coaches:
            raise UserError(Message("store.say_which_session_the_film"))
        with self.store.writing() as session:
            if session_id is not None and session.get(SessionRow, session_id) is None:
                raise NotThereError(Message("store.there_is_no_session", session_id=session_id))
            row = ClipRow(
                session_id=session_id,
                name=Path(name).name[:300],
                suffix=suffix,
                size=size,
                received=0,
                state="coming",
                progress=0.0,
                felt=(felt or "").strip()[:200] or None,
                made_at=now_utc(),
            )
            session.add(row)
            session.flush()
            clip_id = row.id
        self.folder(clip_id).mkdir(parents=True, exist_ok=True, mode=0o700)
        sync_folder(self.store.data_dir)
        sync_folder(self.root)
        return clip_id

    def take(self, clip_id: int, at: int, part: bytes) -> Clip:
        """Writes a part that begins at byte `at`; a part that was taken before changes nothing. Returns the clip.

        The bytes are on the disk before the count says so, and nobody else waits while they are written. With the last one the
        film gets its name and sum. Raises UserError for a part that leaves a gap or overflows.
        """
        with self.store.reading() as session:
            row = _row(session, clip_id)
            start, coming, film = row.received, row.state == "coming", self._film(row)
            if at > start or at + len(part) > row.size or len(part) > MOST_PART:
                raise UserError(Message("store.the_next_part_of_this", next=start, at=at))
        fresh = part[start - at :]
        if fresh and coming:
            self._write(film, start, fresh)
            with self.store.writing() as session:
                row = _row(session, clip_id)
                if row.received == start and row.state == "coming":
                    row.received += len(fresh)
        clip = self.clip(clip_id)
        return self.settle(clip_id) if clip.state == "coming" and clip.received == clip.size else clip

    def _write(self, film: Path, at: int, fresh: bytes) -> None:
        try:
            write_part(film, at, fresh)
        except FileNotFoundError:
            if self.s3_cache is None or film.parent.exists():
                raise
            raise NotNowError(Message("store.what_came_of_this_film", folder=self.root)) from None

    def settle(self, clip_id: int, *, wait: bool = True) -> Clip:
        """Gives a film that has come whole its name: date and place taken out, summed, on the disk, and in the store of films
        where there is one. Twice does no harm. Without `wait` OSError where another does it just now."""
        with self.store.reading() as session:
            row = _row(session, clip_id)
            film, saved = self._film(row), row.filmed_at
        part = part_of(film)
        with contextlib.suppress(FileNotFoundError):
            saved = first_picture_at(*film_times(part), saved) or saved
        digest = put_in_place(part, film)
        with self._put(clip_id, film, wait=wait), self.store.writing() as session:
            row = _row(session, clip_id)
            if row.state == "coming":
                row.state, row.sha256, row.filmed_at = "waiting", digest, saved
            return _clip(row)

    @contextlib.contextmanager
    def _put(self, clip_id: int, film: Path, *, wait: bool) -> Iterator[None]:
        """Around the act that says that a film has come: it is in the store of films before, by one of those who try."""
        if self.s3_cache is None:
            yield
            return
        with film.open("r+b") as file:
            lock_file(file.fileno(), wait=wait)
            with self.store.reading() as session:
                row = _row(session, clip_id)
                name, coming = name_of(row.id, row.made_at), row.state == "coming"
            if not coming:
                yield
                return
            with self._under_way(name):
                self.s3_cache.put(name, film.parent)
                yield
                self.s3_cache.keep_note(name, film.parent)
        trim(self.store)

    @contextlib.contextmanager
    def _under_way(self, name: str) -> Iterator[None]:
        """Around putting files of a clip and saying so in its row: those of one that was deleted meanwhile go again."""
        assert self.s3_cache is not None
        noted = self.s3_cache.note([name])
        try:
            yield
        except NotThereError:
            self.s3_cache.remove(name)
            self.s3_cache.done(noted)
            raise
        self.s3_cache.done(noted)

    def settle_all(self) -> None:
        """Settles films that have come whole while the server stopped just then."""
        with self.store.reading() as session:
            whole = select(ClipRow.id).where(ClipRow.state == "coming", ClipRow.received == ClipRow.size)
            ids = list(session.scalars(whole))
        for clip_id in ids:
            # its bytes are gone, and sending it again says so; or another does it now; or the store of films is away
            with contextlib.suppress(OSError, NotNowError):
                self.settle(clip_id, wait=self.s3_cache is None)

    def whole_film(self, clip_id: int) -> Path:
        """The film, checked by its sum. Raises UserError where it is not whole here (another machine's folder is not this one)."""
        with self.store.reading() as session:
            row = _row(session, clip_id)
            film, wanted = self._film(row), row.sha256
        if self.s3_cache:
            return self._fetched(clip_id, wanted)
        if wanted is None and film.exists():
            strip_tags(film)  # kept by an earlier version
        until = time.monotonic() + SHARED_DISK_S
        while not (film.exists() and wanted in (None, digest_of(film))):
            if time.monotonic() > until:
                raise UserError(Message("store.the_film_of_clip_is", id=clip_id, folder=self.root))
            time.sleep(0.5)
        return film

    def _fetched(self, clip_id: int, wanted: str | None) -> Path:
        """The film from the store of films, or the copy of it here if that is the same."""
        try:
            film = self.file(clip_id)
            if wanted not in (None, digest_of(film)):
                film.unlink()  # a copy that a failing disk has changed
                film = self.file(clip_id)
        except (NotThereError, FileNotFoundError):
            raise UserError(
                Message("store.the_film_of_clip_is_not", id=clip_id, place=self.store.films_place)
            ) from None
        return film

    def keep_answer(self, clip_id: int, scratch: Path) -> bool:
        """Keeps what was measured, its files moved from the folder it was made in; a clip that is done stays as it is.

        False where the clip was deleted meanwhile.
        """
        answer = (scratch / "answer.json").read_text(encoding="utf-8")
        sync_tree(scratch)
        with contextlib.suppress(NotThereError), self._put_made(clip_id, scratch):
            if self._keep_answer(clip_id, scratch, answer):
                return True
            raise NotThereError
        return False

    @contextlib.contextmanager
    def _put_made(self, clip_id: int, scratch: Path) -> Iterator[None]:
        """Around the act that says that a clip is done: what was made is in the store of films before."""
        if self.s3_cache is None:
            yield
            return
        with self.store.reading() as session:
            name = name_of(clip_id, _row(session, clip_id).made_at)
        with self._under_way(name):
            self.s3_cache.put(name, scratch)
            yield
            taken = not any(
                (scratch / part).exists() for part in MADE
            )  # else another worker was first, elsewhere perhaps
            self.s3_cache.keep_note(name, self.folder(clip_id), made=taken)

    def _keep_answer(self, clip_id: int, scratch: Path, answer: str) -> bool:
        with self.store.writing() as session:
            row = session.get(ClipRow, clip_id)
            if row is None:
                return False
            if row.state == "done":
                return True
            for name in MADE:
                move_over(scratch / name, self.folder(clip_id) / name)
            row.state, row.progress, row.error, row.answer = "done", 1.0, None, json.dumps(json.loads(answer))
            return True

    def _film(self, row: ClipRow) -> Path:
        return self.folder(row.id) / f"clip{row.suffix}"

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

    def marked(self) -> list[Clip]:
        """The clips with corrections that are not in the bin, newest first."""
        with self.store.reading() as session:
            marked = select(ClipRow).where(ClipRow.marks.is_not(None), ClipRow.binned_at.is_(None))
            return [_clip(row) for row in session.scalars(marked.order_by(ClipRow.id.desc()))]

    def unfinished(self) -> list[int]:
        """Clips that have come whole and are not analysed yet."""
        with self.store.reading() as session:
            waiting = select(ClipRow.id).where(ClipRow.state.in_(("waiting", "running")))
            return list(session.scalars(waiting.order_by(ClipRow.id)))

    def mark(
        self,
        clip_id: int,
        state: str,
        *,
        progress: float = 0.0,
        answer: dict[str, Any] | None = None,
        error: Message | str | None = None,
    ) -> bool:
        """Keeps how far a clip is; one that is done stays so, and a failed one until it waits again. False where it was deleted."""
        with self.store.writing() as session:
            row = session.get(ClipRow, clip_id)
            if row is None:
                return False
            if row.state == "done" or (row.state == "failed" and state != "waiting"):
                return True
            row.state, row.progress = state, progress
            row.error = None if error is None else message_to_text(error)
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
        ask_for_films(self.store)
        with contextlib.ExitStack() as films, self.store.writing() as session:
            row = _row(session, clip_id)
            session_id = row.session_id
            films.enter_context(deleting_media(self.store, session, [clip_id]))
            session.execute(delete(LinkRow).where(LinkRow.clip_id == clip_id))
            session.delete(row)
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
        raise NotThereError(Message("store.there_is_no_clip_it", clip_id=clip_id))
    return row


def _clip(row: ClipRow) -> Clip:
    return Clip(
        id=row.id,
        session_id=row.session_id,
        name=row.name,
        size=row.size,
        received=row.received,
        state=row.state,
        progress=row.progress,
        felt=row.felt,
        answer=json.loads(row.answer) if row.answer else None,
        error=None if row.error is None else message_from_text(row.error),
        marks=json.loads(row.marks) if row.marks else None,
        made_at=row.made_at,
        filmed_at=row.filmed_at,
        binned=row.binned_at is not None,
        filmed=bool(row.suffix),
    )

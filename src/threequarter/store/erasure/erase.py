"""Erasing a player for good: rows, films, pictures, free pages, jobs; and again when an older backup is restored."""

import contextlib
import datetime
import hashlib
import secrets
from collections.abc import Collection, Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

from sqlalchemy import delete, func, or_, select
from sqlalchemy.orm import Session
from sqlalchemy.types import String

from threequarter.golf.errors import NotNowError, UserError
from threequarter.golf.message import Message
from threequarter.store.accounts.audit import record_in
from threequarter.store.accounts.current_user import as_user, current_user
from threequarter.store.database.schema import (
    Base,
    ClipRow,
    ClubRow,
    ImportRow,
    NoteRow,
    PlayerRow,
    RejectedRow,
    SessionRow,
)
from threequarter.store.database.scratch import scratch, sweep
from threequarter.store.erasure.kept_answers import forget_answers
from threequarter.store.erasure.personal_data import PersonalData, of_sessions, personal_data_of
from threequarter.store.erasure.tombstones import MARKED, Erasure, erasures, mark_of, remember, write_list
from threequarter.store.imports.confirmed import forget_mentions
from threequarter.store.imports.save_import import now_utc, one_player
from threequarter.store.media.media_deletion import ask_for_films, deleting_media, names_of
from threequarter.store.media.s3_cache import NOTE
from threequarter.store.store import Store
from threequarter.store.tasks.job_cleanup import forget_jobs
from threequarter.store.tasks.tasks import forget_all

ENCODINGS: Final = ("utf-8", "utf-16-le", "utf-16-be", "cp1252", "shift_jis", "gb18030", "euc_kr")
BACKUP_DAYS: Final = 30
"""Backups of the rotation that were made before an erasure are removed this many days after it."""


def erase(store: Store, player: str) -> dict[str, Any]:
    """Removes a player and everything of them for good: rows, films, pictures, free pages; returns the proof.

    Marks without names are kept, so that an older backup loses them too when it is restored.
    Raises UserError for a player who is not there.
    """
    with store.reading() as session:
        number = one_player(session, player).id  # one whom the person who asks may see
    with_accounts = current_user() is not None  # then the door writes the line, with the address
    with as_user(None):
        return _erase(store, number, write_line=not with_accounts)


def _erase(store: Store, number: int, *, write_line: bool) -> dict[str, Any]:
    """What others have of the erased one, in a shared file say, goes too: so the program itself acts."""
    ask_for_films(store)
    now = now_utc()
    mark = secrets.token_hex(16)
    with contextlib.ExitStack() as aside, store.writing() as session:
        theirs = personal_data_of(session, number)
        marks = _marks(session, theirs)
        left = aside.enter_context(deleting_media(store, session, theirs.clips))
        films = aside.enter_context(_films_aside(store, session, theirs.clips))
        counts, names = _remove(session, theirs)
        counts |= {"films and pictures": films}
        remember(session, [Erasure(mark=mark, marks=marks, removed=counts, erased_at=now.isoformat())])
        forget_all(session)
        session.flush()
        if write_line:
            record_in(session.connection(), "erased a player", kind="player", number=number, player_id=number)
        mentioned = _mentioned(session, names)
        told = erasures(session)
    counts |= _leave_nothing(store, theirs.clips)
    for folder in (store.data_dir, store.backups_dir):
        if folder.is_dir():
            write_list(folder, told)
    emptied = store.compact()
    return _proof(store, now, mark, counts) | {
        "still_mentioned": mentioned,
        "free_pages_emptied": emptied,
        "films_left": left.count,
    }


def erase_marked(store: Store, told: Iterable[Erasure], fingerprints: Collection[str] = ()) -> dict[str, int]:
    """Removes from a store what was erased elsewhere; returns counts by table. `fingerprints` are hashes of names, as earlier versions kept them."""
    told = list(told)
    marks = {mark for one in told for mark in one.marks}
    counts: dict[str, int] = {}
    with contextlib.ExitStack() as aside, store.writing() as session:
        for theirs in _marked(session, marks, fingerprints):
            aside.enter_context(deleting_media(store, session, theirs.clips))
            aside.enter_context(_films_aside(store, session, theirs.clips))
            removed, _names_of = _remove(session, theirs)
            for table, count in removed.items():
                counts[table] = counts.get(table, 0) + count
        remember(session, told)
    if counts:
        forget_answers(store.data_dir)
        store.compact()
    return counts


def _marked(session: Session, marks: set[str], fingerprints: Collection[str]) -> Iterator[PersonalData]:
    """What is marked: whole players first, then sessions that were theirs under another name, then single clips and notes."""
    players = session.execute(select(PlayerRow.id, PlayerRow.name_key, PlayerRow.made_at)).all()
    for number, key, made_at in players:
        marked = mark_of("player", number, made_at) in marks or _fingerprint(key) in fingerprints
        if marked and session.get(PlayerRow, number) is not None:  # not gone with the one it was merged into
            yield personal_data_of(session, number)
    sessions = session.execute(select(SessionRow.id, SessionRow.player_id, SessionRow.made_at)).all()
    found = [(number, owner) for number, owner, made_at in sessions if mark_of("session", number, made_at) in marks]
    if found:
        yield of_sessions(session, [number for number, _ in found])
        for owner in sorted({owner for _, owner in found if owner is not None}):
            if not _has_anything(session, owner):
                yield personal_data_of(session, owner)
    rows: list[tuple[type[Base], Any]] = []
    for table in (ClipRow, NoteRow):
        all_ = session.execute(select(table.id, table.made_at)).all()
        if ids := [number for number, made_at in all_ if mark_of(table.__tablename__, number, made_at) in marks]:
            rows.append((table, table.id.in_(ids)))
    if rows:
        clips = [
            number
            for table, mine in rows
            if table is ClipRow
            for number in session.scalars(select(ClipRow.id).where(mine))
        ]
        yield PersonalData(rows=tuple(rows), imports=(), clips=clips)


def _has_anything(session: Session, player_id: int) -> bool:
    return any(
        session.scalars(select(table.id).where(table.player_id == player_id)).first() is not None
        for table in (SessionRow, NoteRow, ClubRow)
    )


def _fingerprint(key: str) -> str:
    return hashlib.sha256(key.encode()).hexdigest()


def _marks(session: Session, theirs: PersonalData) -> tuple[str, ...]:
    return tuple(
        mark_of(table.__tablename__, number, made_at)
        for table, mine in theirs.rows
        if table in MARKED
        for number, made_at in session.execute(select(table.id, table.made_at).where(mine))  # type: ignore[attr-defined]
    )


def _remove(session: Session, theirs: PersonalData) -> tuple[dict[str, int], list[str]]:
    """Deletes the rows; returns how many of each table, and the names of the players among them."""
    digests = set(session.scalars(select(ImportRow.sha256).where(ImportRow.id.in_(theirs.imports)))) - {""}
    people = [mine for table, mine in theirs.rows if table is PlayerRow]
    names = list(session.scalars(select(PlayerRow.name).where(or_(*people)))) if people else []
    counts = {}
    for table, mine in theirs.rows:
        counts[table.__tablename__] = session.execute(delete(table).where(mine)).rowcount  # type: ignore[attr-defined]
    counts["files shared with others"] = _shared_files(session, names, digests)
    counts["headings with the name"] = forget_mentions(session, names)
    return counts, names


def _shared_files(session: Session, names: Sequence[str], digests: set[str]) -> int:
    """Originals of other players' imports that hold the erased one's rows too are dropped; the balls read from them stay."""
    dropped = 0
    for number in session.scalars(select(ImportRow.id).where(ImportRow.content.is_not(None))).all():
        row = session.get_one(ImportRow, number)
        if row.sha256 in digests or any(_names(row.content or b"", name) for name in names):
            row.content, dropped = None, dropped + 1
        session.flush()
        session.expunge(row)
    for name in names:
        for aside in session.scalars(select(RejectedRow).where(RejectedRow.text.icontains(name, autoescape=True))):
            aside.text = ""
    return dropped


def _names(content: bytes, name: str) -> bool:
    """Whether a file holds a name, in any encoding a table comes in."""
    for encoding in ENCODINGS:
        try:
            if name.encode(encoding).lower() in content.lower():
                return True
        except UnicodeEncodeError:
            continue
    return False


def _mentioned(session: Session, names: Sequence[str]) -> dict[str, int]:
    """Where the name still stands in what belongs to others, say in a note about a partner: texts that only their writer can judge."""
    found = {}
    for table in Base.metadata.sorted_tables:
        texts = [column for column in table.columns if isinstance(column.type, String)]
        if texts and names:
            named = or_(*(column.icontains(name, autoescape=True) for column in texts for name in names))
            if count := session.execute(select(func.count()).select_from(table).where(named)).scalar_one():
                found[table.name] = count
    return found


@contextmanager
def _films_aside(store: Store, session: Session, clips: Sequence[int]) -> Iterator[int]:
    """Puts the folders of clips aside until the rows are gone; back where that fails. Gives how many files there are of them.

    Raises NotNowError where the system moves no folder with an open file in it (Windows) and somebody looks at one of the films.
    """
    files = len(_files(store, session, clips))
    folders = [store.clips_dir / str(clip_id) for clip_id in clips]
    folders = [folder for folder in folders if folder.is_dir()]
    if not folders:
        yield files
        return
    moved: list[Path] = []
    with scratch(store.clips_dir, "erasing") as aside:
        try:
            try:
                for folder in folders:
                    folder.replace(aside / folder.name)
                    moved.append(folder)
            except PermissionError as error:
                raise NotNowError(Message("store.film_is_open")) from error
            yield files
        except BaseException:
            for folder in moved:
                (aside / folder.name).replace(folder)
            raise


def _files(store: Store, session: Session, clips: Sequence[int]) -> set[tuple[int, str]]:
    """The files of clips, on this disk and in the store of films, each once."""
    folders = {clip_id: store.clips_dir / str(clip_id) for clip_id in clips}
    found = {
        (clip_id, path.relative_to(folder).as_posix())
        for clip_id, folder in folders.items()
        for path in folder.rglob("*")
        if path.is_file() and path.name != NOTE
    }
    if store.s3_cache:
        for clip_id, name in names_of(session, clips).items():
            found |= {(clip_id, file) for file in store.s3_cache.files(name)}
    return found


def _leave_nothing(store: Store, clips: Sequence[int]) -> dict[str, int]:
    """What lies beside the database: jobs about the clips, files that are being looked at, half-made things of killed processes, and
    answers made of balls."""
    forget_answers(store.data_dir)
    pending = [path for path in (store.data_dir / "pending").glob("*") if path.is_file()]
    for path in pending:
        with contextlib.suppress(OSError):
            path.unlink()
    for place in (store.data_dir, store.clips_dir, store.backups_dir):
        for kind in ("scratch", "backup", "erasing"):
            sweep(place, kind)
    return {"jobs": forget_jobs(store, clips), "files being looked at": len(pending)}


def kept_proof(store: Store, mark: str) -> dict[str, Any]:
    """The proof of an erasure of earlier, as far as it is kept. Raises UserError where there was none of that mark."""
    with store.reading() as session:
        found = next((one for one in erasures(session) if one.mark == mark), None)
    if found is None:
        raise UserError(Message("store.there_was_no_erasure_under", mark=mark[:40]))
    at = datetime.datetime.fromisoformat(found.erased_at)
    return _proof(store, at, mark, found.removed)


def _proof(store: Store, at: datetime.datetime, mark: str, removed: dict[str, int]) -> dict[str, Any]:
    return {
        "erased_at": at.replace(tzinfo=datetime.UTC).isoformat(timespec="seconds"),
        "mark": mark,
        "removed": removed,
        "still_mentioned": {},
        "free_pages_emptied": True,
        "films_left": 0,
        "database": "postgresql" if store.on_postgres else "sqlite",
        "backups_forget_by": (at + datetime.timedelta(days=BACKUP_DAYS)).date().isoformat(),
    }


def proof_in_words(proof: dict[str, Any]) -> list[Message]:
    """The proof as lines to read and to hand out."""
    removed = tuple(
        Message("store.erased_count", kind=Message(f"store.kind_{name.replace(' ', '_')}"), count=count)
        for name, count in proof["removed"].items()
        if count
    )
    lines = [
        Message(
            "store.erased_at_utc_under",
            when=proof["erased_at"][:16].replace("T", " "),
            mark=proof["mark"],
            removed=removed,
        )
    ]
    if proof["free_pages_emptied"]:
        lines.append(Message("store.the_database_was_written_anew"))
    else:
        lines.append(Message("store.somebody_is_reading_so_free"))
    if left := proof.get("films_left"):
        lines.append(Message("store.the_films_of_clip_could", count=left))
    if proof["database"] == "postgresql":
        lines.append(Message("store.postgresql_keeps_a_log_of"))
    if proof["still_mentioned"]:
        where = ", ".join(f"{count} {table}" for table, count in proof["still_mentioned"].items())
        lines.append(Message("store.the_name_still_stands_in", where=where))
    lines.append(Message("store.backups_made_before_hold_them", day=proof["backups_forget_by"]))
    return lines

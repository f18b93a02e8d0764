"""Backup: everything in one file, films too, made while people write, and proved before it is called good."""

import contextlib
import datetime
import functools
import hashlib
import json
import os
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Any, Final, Protocol

from sqlalchemy import Connection, Engine, select

from threequarter import __version__
from threequarter.golf.errors import NotThereError, UserError
from threequarter.golf.message import Message
from threequarter.store.backup.archive import CHUNK, FORMAT, MANIFEST, MOST_TIMES, NAMES, SMALL, Archive, opened
from threequarter.store.backup.encryption import decrypted, encrypt, is_encrypted
from threequarter.store.backup.verify import rebuilt_database
from threequarter.store.database.engines import for_reading, revision_of
from threequarter.store.database.fsync import sync_folder
from threequarter.store.database.row_dump import digests_of, dump, tables_of
from threequarter.store.database.scratch import scratch
from threequarter.store.database.soundness import damage_of, damage_told, damaged
from threequarter.store.media.s3_cache import S3Cache, name_of


class OpenedStore(Protocol):
    """What a backup is made of: a database, a data folder, its clips."""

    data_dir: Path
    clips_dir: Path
    s3_cache: S3Cache | None

    @property
    def engine(self) -> Engine: ...


TRIES: Final = 3
FILM: Final = "clip"
"""The stem of a film in the folder of its clip; everything else there was made from it."""
PART: Final = ".part"
"""What is behind the name of a film that still comes in."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Film:
    """A film as its row says: how many of its bytes were there, and whether more are to come."""

    received: int
    coming: bool
    made_at: datetime.datetime


@dataclass(kw_only=True)
class _Contents:
    """What was packed so far."""

    counts: dict[str, int] = field(default_factory=dict)
    digests: dict[str, str] = field(default_factory=dict)
    clips: dict[int, _Film] = field(default_factory=dict)


Lent = Callable[[int, _Film], contextlib.AbstractContextManager[Path]]
"""Gives the folder of a clip's files."""


class _VanishedError(Exception):
    """A clip was deleted while it was being packed."""


def backup(store: OpenedStore, target: Path, *, passphrase: str | None = None, films: bool = True) -> dict[str, Any]:
    """Writes everything into one file while people may be writing, and proves it; returns its manifest.

    The rows are those of one moment; each film is as long as it was then. The file has its name only after it was read back,
    every hash and count compared, and its rows put into a database of their own and found the same. With a passphrase it is
    sealed. Raises UserError where it cannot be written or proved; then no file is left, and an older one of that name stands.
    """
    return backup_of(
        store.engine, store.clips_dir, store.data_dir, target, passphrase=passphrase, films=films, vault=store.s3_cache
    )


def backup_of(
    engine: Engine,
    clips_dir: Path,
    data_dir: Path,
    target: Path,
    *,
    passphrase: str | None = None,
    films: bool = True,
    vault: S3Cache | None = None,
) -> dict[str, Any]:
    """`backup` of a database of any schema, its folder of clips, and its store of films where it has one."""
    lent = functools.partial(_lent, clips_dir, vault, films)
    if target.is_dir():
        raise UserError(Message("store.is_a_folder_name_a", target=target))
    if not target.parent.is_dir():
        raise UserError(Message("store.there_is_no_folder_no", folder=target.parent))
    place = target.parent if passphrase is None else data_dir  # unsealed, a film leaves the data folder in no moment
    try:
        with damage_told(engine), scratch(place, "backup") as folder:
            manifest = _packed(engine, lent, folder / "whole.part", films=films)
            _prove(folder / "whole.part", folder)
            if passphrase is None:
                _put(folder / "whole.part", target)
            else:
                with scratch(target.parent, "backup") as beside:
                    _sealed(folder / "whole.part", beside / "sealed.part", passphrase, folder)
                    _put(beside / "sealed.part", target)
    except OSError as error:
        raise UserError(
            Message("store.cannot_be_written_no_backup", target=target, reason=error.strerror or error)
        ) from error
    return manifest


def _packed(engine: Engine, lent: Lent, partial: Path, *, films: bool) -> dict[str, Any]:
    """Packs until no clip was deleted meanwhile, so that what is in the pack was there in one moment."""
    for _attempt in range(TRIES):
        with contextlib.suppress(_VanishedError):
            manifest = _pack(engine, lent, partial, films=films, compression=zipfile.ZIP_DEFLATED)
            if _too_dense(partial):
                manifest = _pack(engine, lent, partial, films=films, compression=zipfile.ZIP_STORED)
            return manifest
    raise UserError(Message("store.clips_are_being_deleted_all"))


def _too_dense(partial: Path) -> bool:
    """Whether it would look like a pack made to fill a disk."""
    with zipfile.ZipFile(partial) as pack:
        size = sum(info.file_size for info in pack.infolist())
    return size > SMALL and 2 * size > MOST_TIMES * partial.stat().st_size


def _pack(engine: Engine, lent: Lent, partial: Path, *, films: bool, compression: int) -> dict[str, Any]:
    held = _Contents()
    with zipfile.ZipFile(partial, "w", compression, allowZip64=True, compresslevel=3) as pack:
        partial.chmod(0o600)
        made_at = datetime.datetime.now(datetime.UTC).isoformat(timespec="seconds")
        with for_reading(engine).connect() as connection:
            schema = revision_of(connection)
            _check_sound(connection)
            _pack_tables(connection, pack, held)
        left_out = _pack_clips(lent, pack, held, films=films)
        _still_there(engine, held)
        manifest = {
            "format": FORMAT,
            "made_by": __version__,
            "made_at": made_at,
            "schema": schema,
            "database": engine.dialect.name,
            "films": "left out" if left_out else "here",
            "counts": held.counts,
            "sha256": held.digests,
        }
        pack.writestr(MANIFEST, json.dumps(manifest, indent=1))
    return manifest


def _check_sound(connection: Connection) -> None:
    if (state := damage_of(connection, thorough=True)) is not None:
        raise damaged(state)


def _pack_tables(connection: Connection, pack: zipfile.ZipFile, held: _Contents) -> None:
    for table in tables_of(connection):
        name, digest, count = f"tables/{table.name}.jsonl", hashlib.sha256(), 0
        with pack.open(name, "w", force_zip64=True) as out:
            for line in dump(connection, table):
                digest.update(line)
                out.write(line)
                count += 1
        held.counts[table.name], held.digests[name] = count, digest.hexdigest()
        if table.name == "clip":
            for row in connection.execute(select(table.c.id, table.c.received, table.c.state, table.c.made_at)):
                held.clips[row.id] = _Film(received=row.received, coming=row.state == "coming", made_at=row.made_at)


@contextlib.contextmanager
def _lent(clips_dir: Path, vault: S3Cache | None, films: bool, clip_id: int, film: _Film) -> Iterator[Path]:
    """The folder of a clip's files: its own, or one into which they are brought from the store of films as long as it is packed."""
    if vault is None or film.coming:
        yield clips_dir / str(clip_id)
        return
    with contextlib.ExitStack() as stack:
        try:
            folder = stack.enter_context(vault.lent(name_of(clip_id, film.made_at), film=films))
        except NotThereError:
            raise _VanishedError from None
        yield folder


def _pack_clips(lent: Lent, pack: zipfile.ZipFile, held: _Contents, *, films: bool) -> bool:
    """Packs what belongs to the clips that have a row; returns whether a film was left out."""
    left_out = False
    for clip_id, film in sorted(held.clips.items()):
        with lent(clip_id, film) as folder:
            found = _pack_clip(folder, clip_id, film, pack, held, films=films)
        left_out |= found and not films
    return left_out


def _pack_clip(folder: Path, clip_id: int, film: _Film, pack: zipfile.ZipFile, held: _Contents, *, films: bool) -> bool:
    """Packs the files of a clip, its film only if asked for; returns whether there is a film."""
    found = False
    for path in sorted(folder.rglob("*")):
        is_film = path.parent == folder and path.name.split(".")[0] == FILM
        name = f"clips/{clip_id}/{path.relative_to(folder).as_posix()}"
        if is_film:  # it may have come whole since its row was read
            name = name.removesuffix(PART) + (PART if film.coming else "")
        if not NAMES.fullmatch(name) or path.is_symlink() or not path.is_file():
            continue
        if is_film:
            found = True
            if not films:
                continue
        try:
            with path.open("rb") as source:
                held.digests[name] = _pack_file(pack, name, source, film.received if is_film else None)
        except FileNotFoundError:
            raise _VanishedError from None
    return found


def _pack_file(pack: zipfile.ZipFile, name: str, source: IO[bytes], most: int | None) -> str:
    """Writes a file, or its first `most` bytes; returns its hash. Films do not get smaller, so nothing is compressed."""
    digest = hashlib.sha256()
    with pack.open(zipfile.ZipInfo(name, date_time=(1980, 1, 1, 0, 0, 0)), "w", force_zip64=True) as out:
        while chunk := source.read(CHUNK if most is None else min(CHUNK, most)):
            digest.update(chunk)
            out.write(chunk)
            most = None if most is None else most - len(chunk)
    return digest.hexdigest()


def _still_there(engine: Engine, held: _Contents) -> None:
    if not held.clips:
        return
    with for_reading(engine).connect() as connection:
        clip = next(table for table in tables_of(connection) if table.name == "clip")
        now = set(connection.scalars(select(clip.c.id)))
    if not set(held.clips) <= now:
        raise _VanishedError


def _prove(partial: Path, folder: Path) -> None:
    """Reads a pack back: its hashes and counts, and its rows in a database of their own, which must say the same."""
    with opened(partial) as archive, rebuilt_database(archive, folder) as engine, engine.connect() as connection:
        found = {f"tables/{name}.jsonl": digest for name, digest in digests_of(connection).items()}
    wanted = {name: digest for name, digest in archive.manifest["sha256"].items() if name.startswith("tables/")}
    if found != wanted:
        wrong = ", ".join(sorted(name for name in wanted if found.get(name) != wanted[name]))
        raise UserError(Message("store.the_backup_did_not_come", wrong=wrong))


def _sealed(whole: Path, partial: Path, passphrase: str, folder: Path) -> None:
    """Seals a pack and opens it again to see that it is the same."""
    encrypt(whole, partial, passphrase)
    partial.chmod(0o600)
    with decrypted(partial, passphrase, folder) as again:
        if _digest(again) != _digest(whole):
            raise UserError(Message("store.the_sealed_backup_did_not"))


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _put(partial: Path, target: Path) -> None:
    """Gives a proved file its name, both on the disk."""
    with partial.open("rb+") as file:
        os.fsync(file.fileno())
    partial.replace(target)
    sync_folder(target.parent)


def check_backup(file: Path, passphrase: str | None = None) -> dict[str, Any]:
    """The manifest of a backup, every file in it checked. Raises UserError for one that is damaged or no backup."""
    with archive_of(file, passphrase) as archive:
        return archive.manifest


@contextlib.contextmanager
def archive_of(file: Path, passphrase: str | None, place: Path | None = None) -> Iterator[Archive]:
    """A backup, checked; a sealed one is unsealed first, into a folder of its own in `place` (default: beside it)."""
    if not is_encrypted(file):
        with opened(file) as archive:
            yield archive
        return
    if passphrase is None:
        raise UserError(Message("store.is_sealed_with_a_passphrase", file=file.name, variable=PASSPHRASE_VARIABLE))
    with (
        scratch(place or file.parent) as folder,
        decrypted(file, passphrase, folder) as whole,
        opened(whole) as archive,
    ):
        yield archive


PASSPHRASE_VARIABLE: Final = "THREEQUARTER_BACKUP_PASSPHRASE"

"""Backup and restore of the whole folder, films too, checked after writing and before reading."""

import datetime
import hashlib
import json
import os
import shutil
import tempfile
import zipfile
from pathlib import Path
from typing import Any, Final

from threequarter import __version__
from threequarter.golf.errors import UserError
from threequarter.store.database import FILE_NAME
from threequarter.store.erasing import ERASED, erase_fingerprint, erased_in
from threequarter.store.exporting import TABLES
from threequarter.store.store import Store

MANIFEST: Final = "manifest.json"
MOST_UNPACKED: Final = 200 * 2**30


def backup(store: Store, target: Path) -> dict[str, Any]:
    """Writes everything into one file while people may be writing, and checks it; returns what it holds.

    The database is copied by SQLite's own online backup, so it is a state that existed. Raises UserError where it cannot be
    written; then no file is left.
    """
    if target.is_dir():
        raise UserError(f"{target} is a folder. Name a file in it.")
    try:
        with tempfile.TemporaryDirectory(prefix=".threequarter-", dir=target.parent or Path()) as scratch:
            copy = Path(scratch, FILE_NAME)
            _copy_database(store, copy)
            partial = Path(scratch, "backup.part")
            manifest = _pack(store, copy, partial)
            check_backup(partial)
            with partial.open("rb") as file:
                os.fsync(file.fileno())
            partial.replace(target)
    except OSError as error:
        raise UserError(f"{target} cannot be written: {error.strerror}. No backup was made.") from error
    return manifest


def _copy_database(store: Store, copy: Path) -> None:
    import pysqlite3.dbapi2 as sqlite

    source, target = sqlite.connect(str(store.data_dir / FILE_NAME)), sqlite.connect(str(copy))
    try:
        source.backup(target)
        (state,) = target.execute("PRAGMA integrity_check").fetchone()
        if state != "ok":
            raise UserError(f"The database is damaged ({state}). Restore the last backup; nothing was written.")
    finally:
        source.close()
        target.close()


def _pack(store: Store, copy: Path, partial: Path) -> dict[str, Any]:
    files = [(copy, FILE_NAME)]
    films = store.data_dir / "clips"
    files += (
        [(path, str(path.relative_to(store.data_dir))) for path in sorted(films.rglob("*")) if path.is_file()]
        if films.is_dir()
        else []
    )
    held: dict[str, str] = {}
    with zipfile.ZipFile(partial, "w", zipfile.ZIP_STORED, allowZip64=True) as pack:
        for path, name in files:
            try:
                pack.write(path, name, zipfile.ZIP_DEFLATED if name == FILE_NAME else zipfile.ZIP_STORED)
            except FileNotFoundError:
                continue  # a clip that was deleted while the backup ran
            held[name] = _digest(path) if name == FILE_NAME else hashlib.sha256(pack.read(name)).hexdigest()
        manifest = {"format": "threequarter backup 1", "made_by": __version__, "made_at": datetime.datetime.now(datetime.UTC).isoformat(timespec="seconds"),
                    "counts": _counts(copy), "sha256": held}  # fmt: skip
        pack.writestr(MANIFEST, json.dumps(manifest, indent=1))
    return manifest


def _counts(database: Path) -> dict[str, int]:
    import pysqlite3.dbapi2 as sqlite

    base = sqlite.connect(str(database))
    try:
        return {
            t.name: base.execute(f'SELECT count(*) FROM "{t.name}"').fetchone()[0] for t in TABLES if _has(base, t.name)
        }
    finally:
        base.close()


def _has(base: Any, table: str) -> bool:
    return (
        base.execute("SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = ?", (table,)).fetchone() is not None
    )


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def check_backup(file: Path) -> dict[str, Any]:
    """The manifest of a backup, every file in it checked. Raises UserError for one that is damaged or no backup."""
    try:
        with zipfile.ZipFile(file) as pack:
            manifest: dict[str, Any] = json.loads(pack.read(MANIFEST))
            names = set(pack.namelist()) - {MANIFEST}
            if sum(info.file_size for info in pack.infolist()) > MOST_UNPACKED or names != set(manifest["sha256"]):
                raise UserError(f"{file.name} is no whole backup: its list does not fit what is in it.")
            for name, wanted in manifest["sha256"].items():
                if Path(name).is_absolute() or ".." in Path(name).parts:
                    raise UserError(
                        f"{file.name} holds a file outside of its folder: {name}. It was not made by this tool."
                    )
                with pack.open(name) as stream:
                    if hashlib.file_digest(stream, "sha256").hexdigest() != wanted:  # type: ignore[arg-type]
                        raise UserError(f"{file.name} is damaged: {name} is not as it was written.")
    except (zipfile.BadZipFile, KeyError, ValueError, EOFError, NotImplementedError) as error:
        raise UserError(f"{file.name} is no backup of threequarter, or it is damaged.") from error
    except OSError as error:
        raise UserError(f"{file} cannot be read: {error.strerror}.") from error
    return manifest


def restore(file: Path, data_dir: Path) -> dict[str, Any]:
    """Puts a backup into an empty folder, checked before and counted after; returns its manifest.

    Players erased since (an erased.json beside the backup or in the folder) are erased again. Raises UserError where the folder
    holds something, or the backup is damaged; then the folder is as it was.
    """
    manifest = check_backup(file)
    used = [path for path in data_dir.iterdir() if path.name != ERASED] if data_dir.is_dir() else []
    if used:
        raise UserError(f"{data_dir} holds something already. Restore into an empty folder: --data NEWFOLDER")
    data_dir.mkdir(parents=True, exist_ok=True, mode=0o700)
    try:
        with zipfile.ZipFile(file) as pack:
            pack.extractall(data_dir, list(manifest["sha256"]))
        if _counts(data_dir / FILE_NAME) != manifest["counts"]:
            raise UserError(f"{file.name} does not hold what its list says; nothing was restored.")
        with Store.open(data_dir) as store:
            for key in erased_in(file.parent) | erased_in(data_dir):
                erase_fingerprint(store, key)
    except BaseException:
        for path in data_dir.iterdir():
            if path.name != ERASED:
                shutil.rmtree(path) if path.is_dir() else path.unlink()
        raise
    return manifest

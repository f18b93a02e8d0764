"""The form of a backup file: what may stand in it, and what is refused before anything of it is believed.

A zip with `manifest.json` (format, schema, counts, a SHA-256 of each file), `tables/<table>.jsonl` (a row a line) and
`clips/<id>/...` (films and what was made from them). Backups of version 1 hold the SQLite file instead of the tables.
"""

import hashlib
import json
import re
import stat
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any, Final

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message

FORMAT: Final = "threequarter backup 2"
FIRST_FORMAT: Final = "threequarter backup 1"
MANIFEST: Final = "manifest.json"
DATABASE: Final = "threequarter.db"
LARGEST_MANIFEST: Final = 64 * 2**20
LONGEST_LINE: Final = 512 * 2**20
MOST_TIMES: Final = 100
"""A pack that unpacks to more times its size is refused where the whole is large, ..."""
SMALL: Final = 64 * 2**20
"""... that is, larger than this many bytes."""
CHUNK: Final = 2**20
BROKEN: Final = (zipfile.BadZipFile, EOFError, NotImplementedError, RuntimeError, ValueError, zlib.error)
"""What reading a damaged zip raises."""
PART: Final = r"[A-Za-z0-9_-][A-Za-z0-9._-]{0,99}"
NAMES: Final = re.compile(
    rf"manifest\.json|threequarter\.db|tables/[a-z][a-z0-9_]{{0,62}}\.jsonl|clips/\d{{1,18}}(/{PART}){{1,3}}"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Archive:
    """A backup that is open and was checked: its manifest, and its files by name."""

    path: Path
    manifest: dict[str, Any]
    pack: zipfile.ZipFile

    @property
    def counts(self) -> dict[str, int]:
        """Rows of each table, as its list says."""
        counts: dict[str, int] = self.manifest["counts"]
        return counts

    @property
    def first_format(self) -> bool:
        """Whether it holds a SQLite file instead of tables."""
        return DATABASE in self.manifest["sha256"]

    @property
    def films_left_out(self) -> bool:
        """Whether films are not in it (what was measured from them is)."""
        return self.manifest.get("films") == "left out"

    def size(self) -> int:
        """Bytes when unpacked."""
        return sum(info.file_size for info in self.pack.infolist())

    def clips(self) -> list[str]:
        """Names of the files of clips."""
        return sorted(name for name in self.manifest["sha256"] if name.startswith("clips/"))

    def lines(self, table: str) -> Iterator[bytes]:
        """The rows of a table."""
        name = f"tables/{table}.jsonl"
        if name not in self.manifest["sha256"]:
            return
        with self.pack.open(name) as stream:
            while line := stream.readline(LONGEST_LINE):
                yield line

    def copy(self, name: str, out: IO[bytes]) -> None:
        """Writes one file of it, and makes sure that it is what the list says."""
        digest = hashlib.sha256()
        with self.pack.open(name) as stream:
            while chunk := stream.read(CHUNK):
                digest.update(chunk)
                out.write(chunk)
        if digest.hexdigest() != self.manifest["sha256"][name]:
            raise UserError(_damaged(self.path, name))


@contextmanager
def opened(path: Path) -> Iterator[Archive]:
    """A backup with every file in it checked: names, kinds, sizes, hashes, rows. Raises UserError for any other file."""
    pack = None
    try:
        pack = zipfile.ZipFile(path)
        archive = Archive(path=path, manifest=_manifest(path, pack), pack=pack)
        _check_files(archive)
    except BaseException as error:
        if pack is not None:
            pack.close()
        if isinstance(error, BROKEN):
            raise UserError(Message("store.is_no_backup_of_threequarter", file=path.name)) from error
        if isinstance(error, OSError):
            raise UserError(Message("store.cannot_be_read", file=path, reason=error.strerror or error)) from error
        raise
    with pack:
        yield archive


def _manifest(path: Path, pack: zipfile.ZipFile) -> dict[str, Any]:
    names = [info.filename for info in pack.infolist()]
    if names.count(MANIFEST) != 1 or pack.getinfo(MANIFEST).file_size > LARGEST_MANIFEST:
        raise UserError(Message("store.is_no_backup_of_threequarter", file=path.name))
    try:
        told = json.loads(pack.read(MANIFEST))
    except (ValueError, RecursionError):
        told = None
    if not isinstance(told, dict) or not isinstance(told.get("format"), str):
        raise UserError(Message("store.is_no_backup_of_threequarter", file=path.name))
    if told["format"] not in (FORMAT, FIRST_FORMAT):
        raise UserError(Message("store.was_made_by_a_newer", file=path.name, made_by=str(told.get("made_by"))[:40]))
    counts, digests = told.get("counts"), told.get("sha256")
    whole = (
        isinstance(counts, dict)
        and all(type(count) is int and count >= 0 for count in counts.values())
        and isinstance(digests, dict)
        and all(isinstance(d, str) and re.fullmatch("[0-9a-f]{64}", d) for d in digests.values())
        and (told["format"] == FIRST_FORMAT) == (DATABASE in digests)
        and (DATABASE in digests or isinstance(told.get("schema"), str))
    )
    if not whole:
        raise UserError(Message("store.is_no_whole_backup_its", file=path.name))
    return told


def _check_files(archive: Archive) -> None:
    path, seen = archive.path, set()
    for info in archive.pack.infolist():
        name = info.filename
        if name in seen:
            raise UserError(Message("store.holds_twice_it_was_not", file=path.name, name=name[:80]))
        seen.add(name)
        if not NAMES.fullmatch(name):
            raise UserError(Message("store.holds_a_file_that_does", file=path.name, name=ascii(name)[:80]))
        kind = stat.S_IFMT(info.external_attr >> 16)
        if kind not in (0, stat.S_IFREG) or info.flag_bits & 1:
            raise UserError(Message("store.holds_a_file_that_is", file=path.name, name=name))
    listed = set(archive.manifest["sha256"])
    tables = {f"tables/{table}.jsonl" for table in archive.counts} if not archive.first_format else set()
    if seen - {MANIFEST} != listed or {name for name in listed if name.startswith("tables/")} != tables:
        raise UserError(Message("store.is_no_whole_backup_its_list", file=path.name))
    size = archive.size()
    if size > SMALL and size > MOST_TIMES * path.stat().st_size:
        raise UserError(
            Message("store.would_unpack_to_times_its", file=path.name, times=round(size / path.stat().st_size))
        )
    for name in archive.manifest["sha256"]:
        _check_file(archive, name)


def _check_file(archive: Archive, name: str) -> None:
    digest, rows = hashlib.sha256(), 0
    with archive.pack.open(name) as stream:
        while chunk := stream.read(CHUNK):
            digest.update(chunk)
            rows += chunk.count(b"\n")
    if digest.hexdigest() != archive.manifest["sha256"][name]:
        raise UserError(_damaged(archive.path, name))
    if name.startswith("tables/"):
        table = name.removeprefix("tables/").removesuffix(".jsonl")
        if rows != archive.counts.get(table):
            raise UserError(
                Message(
                    "store.holds_rows_of_its_list",
                    file=archive.path.name,
                    rows=rows,
                    table=table,
                    told=archive.counts.get(table),
                )
            )


def _damaged(path: Path, name: str) -> Message:
    return Message("store.is_damaged_is_not_as", file=path.name, name=name)

"""Films in an S3-compatible store: each clip's files under a name of its own, and a bounded copy of some on this disk.

A name is a clip's number and the mark of when it was made, so that a clip of a restored backup never meets the films of another
of that number. A film is in the store whole before its row says that it has come. What is under way is noted in the store first,
so that whatever a killed process left is found and judged by the rows.
"""

import hashlib
import json
import os
import re
import secrets
import shutil
import time
from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.store.backup.archive import PART
from threequarter.store.database.fsync import sync_folder
from threequarter.store.erasure.tombstones import mark_of
from threequarter.store.media.media_files import digest_of, move_over
from threequarter.store.media.s3 import SCHEME, S3Objects

CACHE_VARIABLE: Final = "THREEQUARTER_CLIPS_CACHE"
"""How many GB of films from the store may lie on the disk; what is used least goes first."""
USUAL_GB: Final = 20.0
OURS: Final = re.compile(rf"(clip\.[a-z0-9]{{2,5}}|track\.npz|pictures/{PART})")
MADE: Final = ("pictures", "track.npz")
"""What was made from a film."""
NAME: Final = re.compile(r"[1-9]\d{0,17}-[0-9a-f]{16}")
NOTED: Final = "under-way/"
TRIED: Final = "tried-"
"""How an object is called that is put only to see whether that works."""
NOTE: Final = ".in-store"
"""The file in a folder on this disk that says that all in it is in the store too, and whose it is."""
FETCHING: Final = ".fetching-"
REST: Final = timedelta(hours=6)
"""So long after it was noted an act counts as given up: a large film on a slow line takes minutes."""
JUST_USED_S: Final = 600.0
IDLE_S: Final = 24 * 3600.0


def name_of(clip_id: int, made_at: datetime) -> str:
    """What a clip is called in the store."""
    return f"{clip_id}-{mark_of('clip', clip_id, made_at)[:16]}"


def s3_cache_of(told: str, here: Path) -> "S3Cache | None":
    """The store that is named, with its copies in the folder `here`; None where a folder is named. Raises UserError for a wrong name."""
    if not told.startswith(SCHEME):
        return None
    size = os.environ.get(CACHE_VARIABLE) or str(USUAL_GB)
    if re.fullmatch(r"\d{1,6}(\.\d+)?", size) is None:
        raise UserError(Message("store.is_a_number_of_gb", variable=CACHE_VARIABLE, told=repr(size[:30])))
    return S3Cache(S3Objects(told), here, int(float(size) * 2**30))


class S3Cache:
    """The films of a store of rows, in an S3-compatible store. Raises NotNowError wherever that cannot be reached."""

    def __init__(self, objects: S3Objects, here: Path, most_bytes: int) -> None:
        self.objects, self.here, self.most_bytes = objects, here, most_bytes
        self._own = secrets.token_hex(6)

    @property
    def place(self) -> str:
        """Where it is, in words."""
        return self.objects.place

    # What is under way

    def ask(self) -> None:
        """Asks whether the store answers, before an act in which others would wait for that."""
        self.objects.names(NOTED)

    def note(self, names: Collection[str]) -> str:
        """Notes that films are being put or taken away; returns under what, for `done`."""
        body = json.dumps(sorted(names)).encode()
        key = f"{NOTED}{self._own}-{hashlib.sha256(body).hexdigest()[:16]}"
        self.objects.write(key, body)
        return key

    def done(self, key: str) -> None:
        """The rows say what became of it."""
        self.objects.remove_one(key)

    def sweep(self, states: Callable[[Collection[str]], dict[str, str]], *, given_up: bool = False) -> int:
        """Judges what was under way when its process died: films without a row go. Returns how many; `states` tells those of names."""
        before, gone = datetime.now(UTC) + (REST if given_up else -REST), 0
        for noted in self.objects.names(NOTED):
            if noted.put_at > before:
                continue
            names = _names_in(self.objects.read(noted.name))
            known = states(names)
            for name in set(names) - set(known):
                gone += bool(self.files(name))
                self.remove(name)
            if names and "coming" not in known.values():  # such a one is put again, then this is done
                self.done(noted.name)
        self.objects.forget_unfinished(datetime.now(UTC) - REST)
        return gone

    # Films in the store

    def files(self, name: str) -> dict[str, int]:
        """The files of a clip, and how many bytes each has."""
        found = {one.name.removeprefix(f"{name}/"): one.size for one in self.objects.names(f"{name}/")}
        return {file: size for file, size in found.items() if OURS.fullmatch(file)}

    def put(self, name: str, folder: Path, *, check: bool = False) -> int:
        """Puts the files of a folder, returns how many; with `check` each is read back and compared. What still comes in stays out."""
        files = [path for path in sorted(folder.rglob("*")) if path.is_file() and OURS.fullmatch(_inside(folder, path))]
        for path in files:
            digest = digest_of(path)
            self.objects.put(f"{name}/{_inside(folder, path)}", path, digest)
            if check and self.objects.fetch(f"{name}/{_inside(folder, path)}", None)[0] != digest:
                raise UserError(Message("store.did_not_arrive_as_it", file=path))
        return len(files)

    def remove(self, name: str) -> None:
        """Removes all files of a clip."""
        self.objects.remove(f"{name}/")

    def _fetch(self, name: str, file: str, target: Path, wanted: str | None = None) -> None:
        """Brings a file, checked by its sum. Raises NotThereError; UserError where its bytes are not those that were put."""
        target.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        came, said = self.objects.fetch(f"{name}/{file}", target)
        if came != (wanted or said or came):
            target.unlink()
            raise UserError(Message("store.of_clip_in_is_not", file=file, id=name.partition("-")[0], place=self.place))

    @contextmanager
    def lent(self, name: str, *, film: bool = True) -> Iterator[Path]:
        """All files of a clip in a folder that goes away again; without `film` an empty file stands for it."""
        with self._aside(self.here) as folder:
            for file in self.files(name):
                if film or file.startswith(MADE):
                    self._fetch(name, file, folder / file)
                else:
                    (folder / file).touch()
            yield folder

    @contextmanager
    def _aside(self, place: Path) -> Iterator[Path]:
        place.mkdir(parents=True, exist_ok=True, mode=0o700)
        folder = place / f"{FETCHING}{secrets.token_hex(6)}"
        folder.mkdir(mode=0o700)
        try:
            yield folder
        finally:
            shutil.rmtree(folder, ignore_errors=True)

    # Copies on this disk

    def film(self, name: str, film: Path, wanted: str | None) -> None:
        """Sees to it that a film is on this disk as it is in the store. Raises NotThereError, NotNowError."""
        self._only(name, film.parent)
        if film.exists() and wanted and not self._noted(film.parent) and digest_of(film) != wanted:
            film.unlink()  # of another clip, one that still came in before a restore
        if not film.exists():
            with self._aside(film.parent) as aside:
                self._fetch(name, film.name, aside / film.name, wanted)
                (aside / film.name).replace(film)
                sync_folder(film.parent)
        self.keep_note(name, film.parent)

    def made(self, name: str, folder: Path) -> None:
        """Sees to it that what was made from a film is on this disk. Raises NotNowError."""
        self._only(name, folder)
        if not self._noted(folder).endswith(" made"):
            with self._aside(folder) as aside:
                for file in self.files(name):
                    if file.startswith(MADE):
                        self._fetch(name, file, aside / file)
                for part in MADE:
                    move_over(aside / part, folder / part)
        self.keep_note(name, folder, made=True)

    def keep_note(self, name: str, folder: Path, *, made: bool = False) -> None:
        """Notes that all in a folder is in the store, and that it was used now; `made`: all that was made from the film is in it."""
        noted = self._noted(folder)
        wanted = f"{name} made" if made or noted == f"{name} made" else name
        if noted != wanted:
            partial = folder / f"{FETCHING}{secrets.token_hex(6)}"
            partial.write_text(wanted, encoding="ascii")
            partial.replace(folder / NOTE)
        os.utime(folder / NOTE)

    def _only(self, name: str, folder: Path) -> None:
        """Makes sure that a folder holds nothing of another clip, one of before a restore."""
        noted = self._noted(folder)
        if noted and noted.partition(" ")[0] != name:
            shutil.rmtree(folder)
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)

    @staticmethod
    def _noted(folder: Path) -> str:
        try:
            noted = (folder / NOTE).read_text(encoding="utf-8", errors="replace")
        except FileNotFoundError:
            return ""
        return noted if NAME.fullmatch(noted.removesuffix(" made")) else ""

    def trim(self, states: Callable[[Collection[str]], dict[str, str]], now: float | None = None) -> int:
        """Removes copies from this disk: those whose clip is no more, then the least used, until they fit. Returns how many.

        Never what is coming in, waits, is being measured, or was used a moment ago, nor anything that is not in the store.
        """
        now = time.time() if now is None else now
        folders = {folder: self._noted(folder).partition(" ")[0] for folder in self.here.glob("[0-9]*")}
        folders = {folder: name for folder, name in folders.items() if name}
        known = states(list(folders.values()))
        gone = [folder for folder, name in folders.items() if name not in known]
        stay = sorted((folder for folder in folders if folder not in gone), key=_used)
        size = {folder: _bytes(folder) for folder in stay}
        over = sum(size.values()) - self.most_bytes
        for folder in stay:
            if over > 0 and known[folders[folder]] in ("done", "failed") and _used(folder) < now - JUST_USED_S:
                gone.append(folder)
                over -= size[folder]
        for folder in gone:
            shutil.rmtree(folder, ignore_errors=True)
        return len(gone) + self._sweep_aside(now)

    def never_put(self) -> list[Path]:
        """Folders on this disk with what came in and is not in the store, of which nothing came for a day."""
        before = time.time() - IDLE_S
        folders = [path for path in self.here.glob("[1-9]*") if path.name.isdigit()]
        return [folder for folder in folders if not self._noted(folder) and _changed(folder) < before]

    def _sweep_aside(self, now: float) -> int:
        """Removes what killed processes had half fetched."""
        old = [
            path
            for path in [*self.here.glob(f"{FETCHING}*"), *self.here.glob(f"*/{FETCHING}*")]
            if _changed(path) < now - REST.total_seconds()
        ]
        for path in old:
            shutil.rmtree(path, ignore_errors=True) if path.is_dir() else path.unlink(missing_ok=True)
        return len(old)


def _names_in(noted: bytes) -> list[str]:
    """The names in a note; none where it is not one of ours."""
    try:
        found = json.loads(noted)
    except ValueError:
        return []
    return [name for name in found if isinstance(name, str) and NAME.fullmatch(name)] if isinstance(found, list) else []


def _inside(folder: Path, path: Path) -> str:
    return path.relative_to(folder).as_posix()


def _used(folder: Path) -> float:
    return _changed(folder / NOTE)


def _changed(path: Path) -> float:
    try:
        return path.stat().st_mtime
    except FileNotFoundError:  # another process was quicker
        return 0.0


def _bytes(folder: Path) -> int:
    return sum(path.stat().st_size for path in folder.rglob("*") if path.is_file())

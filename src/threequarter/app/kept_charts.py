"""Standing charts as files in the data folder, so that a player's page need not compute one anew: each with the mark of what it rests on.

A file says nothing that the database does not: it may go at any time, and one whose mark is another is not read.
"""

import contextlib
import hashlib
import io
import json
import os
import threading
import zipfile
from dataclasses import dataclass, fields
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, get_args

import numpy as np

import threequarter
from threequarter.chart.result import Chart
from threequarter.golf.ball import Carried
from threequarter.golf.message import Message
from threequarter.practice.pooled import DayShift
from threequarter.practice.recheck import Recheck, Verdict
from threequarter.practice.through_time import DayCount, Track
from threequarter.store.erasure.kept_answers import file_of, verdict_file

if TYPE_CHECKING:
    from pydantic import TypeAdapter

ARRAYS: Final = ("draws_log_carry", "draws_log_sd", "draws_mishit_rate", "shared_sd")
ROOMS: Final = ("app", "answers", "chart", "core", "flight", "golf", "measurement", "practice")
"""Rooms whose code decides what a standing chart says."""
UNREADABLE: Final = (OSError, ValueError, KeyError, TypeError, EOFError, zipfile.BadZipFile)
"""What a file that is not there, or not whole, raises."""
IN_MEMORY: Final = 64
PARTS: Final = ("days", "balls", "shifts", "said", "recheck", "tracks", "counts")
PLAIN: Final = tuple(field.name for field in fields(Chart) if field.name not in ARRAYS)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Standing:
    """What is kept of a player: the chart of all days (`days`, numbers of sessions) and the balls it is made of, each day against it
    (`shifts`), what was `said` of the balls, whether it holds (`recheck`, None with one day), each day charted alone (`tracks`, and its
    mishits: `counts`)."""

    days: tuple[int, ...]
    chart: Chart
    balls: tuple[Carried, ...]
    shifts: tuple[DayShift, ...]
    said: tuple[Message | str, ...]
    recheck: Recheck | None
    tracks: tuple[Track, ...]
    counts: tuple[DayCount, ...]


_recent: dict[tuple[Path, int, str], Standing] = {}


def load(data_dir: Path, player: int, mark: str) -> Standing | None:
    """What was kept of a player for this very state of the balls; None where there is nothing, or something else."""
    key = (data_dir, player, mark)
    found = _recent.get(key)
    if found is None:
        found = _from_disk(*key)
        if found is not None:
            remember(*key, found)
    return found


def _from_disk(data_dir: Path, player: int, mark: str) -> Standing | None:
    try:
        with np.load(io.BytesIO(file_of(data_dir, player).read_bytes()), allow_pickle=False) as kept:
            if kept["mark"].tobytes().decode() == f"{_code()} {mark}":
                return _read(kept["rest"].tobytes(), {name: kept[name] for name in ARRAYS})
    except UNREADABLE:
        pass
    return None


def remember(data_dir: Path, player: int, mark: str, standing: Standing) -> None:
    """Keeps it as long as this process lives and nothing newer takes its place."""
    _recent[data_dir, player, mark] = standing
    while len(_recent) > IN_MEMORY:
        with contextlib.suppress(KeyError, StopIteration):  # another thread was there first
            del _recent[next(iter(_recent))]


def verdict(data_dir: Path, player: int, revision: str) -> Verdict | None:
    """Whether a player's chart held when it was computed last, if that was of this very state of the balls; None where it was not,
    or there was nothing to hold it against."""
    with contextlib.suppress(OSError, ValueError):
        mark, _line, told = verdict_file(data_dir, player).read_text(encoding="utf-8").partition("\n")
        if mark == f"{_code()} {revision}" and told in get_args(Verdict):
            return told  # type: ignore[return-value]
    return None


def kept(data_dir: Path, player: int, revision: str) -> bool:
    """Whether a player's chart of this very state of the balls is kept."""
    with contextlib.suppress(OSError, ValueError):
        mark = verdict_file(data_dir, player).read_text(encoding="utf-8").partition("\n")[0]
        return mark == f"{_code()} {revision}" and file_of(data_dir, player).exists()
    return False


def save(data_dir: Path, player: int, mark: str, standing: Standing) -> None:
    """Keeps it, on disk where reading it back gives the same; a full disk or a folder that may not be written keeps nothing."""
    remember(data_dir, player, mark, standing)
    arrays = {name: getattr(standing.chart, name) for name in ARRAYS}
    rest = _write(standing)
    if not _same(_read(rest, arrays), standing):
        return
    texts = {"rest": rest, "mark": f"{_code()} {mark}".encode()}
    bare = {name: np.frombuffer(text, dtype=np.uint8) for name, text in texts.items()}
    out = io.BytesIO()
    np.savez(out, **bare, **arrays)  # type: ignore[arg-type]
    held = f"{_code()} {mark.partition(' ')[0]}\n{standing.recheck.verdict if standing.recheck else ''}"
    with contextlib.suppress(OSError):
        _put(file_of(data_dir, player), out.getvalue())
        _put(verdict_file(data_dir, player), held.encode())


def _put(path: Path, content: bytes) -> None:
    path.parent.mkdir(mode=0o700, exist_ok=True)
    part = path.with_name(f"{path.name}.{os.getpid()}-{threading.get_ident()}.part")
    try:
        part.write_bytes(content)
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)


@cache
def _code() -> str:
    """A mark of the code that makes a standing chart: what another release kept is not read."""
    here = Path(threequarter.__file__).parent
    made = hashlib.sha256()
    for room in ROOMS:
        for path in sorted((here / room).rglob("*")):
            if path.suffix in (".py", ".c", ".wasm"):
                made.update(path.read_bytes())
    return made.hexdigest()[:16]


@cache
def _adapters() -> "dict[str, TypeAdapter[Any]]":
    from pydantic import TypeAdapter

    kinds: dict[str, Any] = {
        "days": tuple[int, ...],
        "balls": tuple[Carried, ...],
        "shifts": tuple[DayShift, ...],
        "said": tuple[str | Message, ...],
        "recheck": Recheck | None,
        "tracks": tuple[Track, ...],
        "counts": tuple[DayCount, ...],
    }
    hints = Chart.__annotations__
    kinds |= {name: hints[name] for name in PLAIN}
    return {name: TypeAdapter(kind) for name, kind in kinds.items()}


def _write(standing: Standing) -> bytes:
    told = {name: _adapters()[name].dump_python(getattr(standing.chart, name), mode="json") for name in PLAIN}
    told |= {
        name: _adapters()[name].dump_python(getattr(standing, name), mode="json", exclude_defaults=name == "balls")
        for name in PARTS
    }
    return json.dumps(told, ensure_ascii=False).encode()


def _read(rest: bytes, arrays: dict[str, Any]) -> Standing:
    told = {name: _adapters()[name].validate_python(one) for name, one in json.loads(rest).items()}
    chart = Chart(**{name: told.pop(name) for name in PLAIN}, **arrays)
    return Standing(chart=chart, **told)


def _same(one: Standing, other: Standing) -> bool:
    return all(getattr(one, name) == getattr(other, name) for name in PARTS) and all(
        getattr(one.chart, name) == getattr(other.chart, name) for name in PLAIN
    )

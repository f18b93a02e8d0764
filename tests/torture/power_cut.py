"""The power cut at any moment of a recorded working day: acknowledged work missing 0, corrupt 0.

    python tests/torture/power_cut.py [--states 20000] [--seed 1] [--plant lost]

`strace` records every write, sync, rename and unlink while balls are typed, a table is kept and a clip comes in. Each state
replays a prefix of that record onto the folder as it was before, with what no sync had reached yet dropped, kept or torn in
parts of 512 bytes, names in a directory that was not synced among it. Then the store is opened and asked. The planted fault
(--plant lost forgets every sync of the write-ahead log) must be caught.
"""

import argparse
import hashlib
import json
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

SECTOR = 512
CALLS = (
    "openat,open,creat,pwrite64,write,fsync,fdatasync,ftruncate,unlink,unlinkat,rename,renameat,renameat2,mkdir,mkdirat,rmdir,"
    "lseek,close,sendfile,copy_file_range,writev,pwritev,link,linkat,dup,dup2,dup3,fallocate"
)
LINE = re.compile(r"^(?P<pid>\d+)\s+(?P<call>\w+)\((?P<args>.*)\)\s+=\s+(?P<result>-?\d+)(?:<(?P<opened>[^>]*)>)?")
TEXT = re.compile(r'"((?:\\x[0-9a-f]{2})*)"')
ON = re.compile(r"^(\d+)<([^>]*)>")


def work(data: Path, acks: Path, balls: int) -> None:
    """The recorded day. Each line of `acks` is what the store had promised by then."""
    from sqlalchemy import Engine, event

    from threequarter.intake.options import ReadOptions
    from threequarter.intake.tables.read import read_table
    from threequarter.store.balls.phone_balls import PhoneBalls
    from threequarter.store.clips.clips import Clips
    from threequarter.store.store import Store

    event.listen(Engine, "connect", lambda one, _: one.execute("PRAGMA wal_autocheckpoint = 20"))
    store = Store.open(data)
    told = os.open(acks, os.O_WRONLY | os.O_CREAT | os.O_APPEND)

    def promise(**what: Any) -> None:
        os.write(told, (json.dumps(what) + "\n").encode())

    rng = random.Random(5)
    bucket, clips = PhoneBalls(store), Clips(store)
    session = bucket.begin("Wren Sedge")
    for i in range(balls):
        one = {"key": f"power-{i:06d}", "club": "54", "swing": "waist", "carry": 30 + i % 40, "unit": "yd"}
        for outcome in bucket.take(session, [one]):
            promise(ball=outcome.key)
        if i % 10 == 9:
            back = f"power-{i - 5:06d}"
            bucket.take(session, [], [back])
            promise(back=back)
        if i % 25 == 24:
            film = rng.randbytes(40_000)
            clip = clips.begin(f"swing-{i}.mp4", len(film), session_id=session)
            for at in range(0, len(film), 15_000):
                clips.take(clip, at, film[at : at + 15_000])
            promise(clip=clip, sha256=hashlib.sha256(film).hexdigest())
        if i % 40 == 39:
            table = f"Club,Swing,Carry (yd)\n54,waist,{i}\n54,chest,{i + 20}\n58,waist,{i - 5}\n".encode()
            reading = read_table(table, f"day-{i}.csv", ReadOptions())
            kept = store.keep_reading(reading, table, name=f"day-{i}.csv", as_new=True)
            promise(session=kept.session_id, balls=3)


@dataclass
class Inode:
    """A file: what the disk surely holds, and what was written since the last sync."""

    sure: bytearray = field(default_factory=bytearray)
    pending: list[tuple[int, bytes | None]] = field(
        default_factory=list
    )  # (offset, bytes), or (length, None) for a cut

    def sync(self) -> None:
        for at, data in self.pending:
            _apply(self.sure, at, data)
        self.pending.clear()

    def after_cut(self, rng: random.Random) -> bytes:
        """What may be found: each unsynced write kept, dropped, or some of its sectors."""
        content = bytearray(self.sure)
        for at, data in self.pending:
            fate = rng.random()
            if data is None or fate < 0.4:
                if fate < 0.7:
                    _apply(content, at, data)
            elif fate < 0.7:
                for part in range(0, len(data), SECTOR):
                    if rng.random() < 0.5:
                        _apply(content, at + part, data[part : part + SECTOR])
        return bytes(content)


def _apply(content: bytearray, at: int, data: bytes | None) -> None:
    if data is None:
        del content[at:]
        content.extend(bytes(max(0, at - len(content))))
        return
    content.extend(bytes(max(0, at - len(content))))
    content[at : at + len(data)] = data


class Disk:
    """A folder as the record goes on. A name is sure once its directory was synced; a directory is an inode of None."""

    def __init__(self, folder: Path) -> None:
        self.root = str(folder)
        self.sure: dict[str, Inode | None] = {self.root: None}
        for path in folder.rglob("*"):
            self.sure[str(path)] = None if path.is_dir() else Inode(bytearray(path.read_bytes()))
        self.now = dict(self.sure)
        self.pending: dict[str, list[tuple[str, Inode | None, bool]]] = {}

    def name(self, path: str, inode: Inode | None) -> None:
        self.now[path] = inode
        self.pending.setdefault(str(Path(path).parent), []).append((path, inode, True))

    def forget(self, path: str) -> None:
        gone = self.now.pop(path, None)
        self.pending.setdefault(str(Path(path).parent), []).append((path, gone, False))

    def sync_names(self, directory: str) -> None:
        for change in self.pending.pop(directory, []):
            _rename(self.sure, *change)

    def after_cut(self, rng: random.Random) -> dict[str, bytes | None]:
        names = dict(self.sure)
        for changes in self.pending.values():
            for change in changes[: rng.randint(0, len(changes))]:
                _rename(names, *change)
        found: dict[str, bytes | None] = {}
        for path in sorted(names):
            if path == self.root or str(Path(path).parent) in found or str(Path(path).parent) == self.root:
                inode = names[path]
                found[path] = None if inode is None else inode.after_cut(rng)
        return found


def _rename(names: dict[str, Inode | None], path: str, inode: Inode | None, there: bool) -> None:
    if there:
        names[path] = inode
    else:
        names.pop(path, None)


def _plain(hexed: str) -> str:
    return bytes.fromhex(hexed.replace("\\x", "")).decode("utf-8", "surrogateescape")


def _bytes(args: str) -> bytes:
    found = TEXT.search(args)
    return bytes.fromhex(found[1].replace("\\x", "")) if found else b""


class Replay:
    """Goes through the record line by line; `disk` and `promised` are how things stood after it."""

    def __init__(self, disk: Disk, acks: Path, plant: str) -> None:
        self.disk, self.acks, self.plant = disk, str(acks), plant
        self.promised: list[dict[str, Any]] = []
        self.at: dict[tuple[str, str], int] = {}

    def step(self, line: str) -> bool:
        """Takes a line; whether it changed something."""
        match = LINE.match(line)
        if match is None or match["result"].startswith("-"):
            return False
        call, args = match["call"], match["args"]
        on = ON.match(args)
        path = _plain(on[2]) if on else ""
        if path == self.acks:
            if call in ("write", "pwrite64"):
                self.promised += [json.loads(one) for one in _bytes(args).decode().splitlines()]
            return False
        handle = getattr(self, f"_{call}", None)
        if (on and path.startswith(self.disk.root + "/")) or path == self.disk.root:
            if handle is None:
                raise NotImplementedError(f"the record holds {call} on {path}")
            return bool(handle(path, on[1] if on else "", args, match))
        if handle is not None and call.startswith(("open", "creat", "rename", "unlink", "mkdir", "rmdir")):
            names = [_plain(one) for one in TEXT.findall(args)]
            if names and names[0].startswith(self.disk.root):
                return bool(handle(names, match["result"], args, match))
        return False

    def _openat(self, names: list[str], handle: str, args: str, _: Any) -> bool:
        path = names[0]
        self.at[handle, path] = 0
        fresh = "O_CREAT" in args and path not in self.disk.now
        if fresh:
            self.disk.name(path, Inode())
        inode = self.disk.now.get(path)
        if inode is not None and "O_TRUNC" in args:
            inode.pending.append((0, None))
        return fresh

    _open = _creat = _openat

    def _inode(self, path: str) -> Inode | None:
        return self.disk.now.get(path)

    def _pwrite64(self, path: str, _handle: str, args: str, _: Any) -> bool:
        inode = self._inode(path)
        if inode is not None:
            inode.pending.append((int(args.rsplit(",", 1)[1]), _bytes(args)))
        return True

    def _write(self, path: str, handle: str, args: str, match: "re.Match[str]") -> bool:
        inode, data = self._inode(path), _bytes(args)[: int(match["result"])]
        at = self.at.get((handle, path), 0)
        if inode is not None:
            inode.pending.append((at, data))
        self.at[handle, path] = at + len(data)
        return True

    def _lseek(self, path: str, handle: str, _args: str, match: "re.Match[str]") -> bool:
        self.at[handle, path] = int(match["result"])
        return False

    def _fsync(self, path: str, _handle: str, _args: str, _: Any) -> bool:
        if self.plant == "lost" and path.endswith("-wal"):
            return True
        inode = self._inode(path)
        if inode is not None:
            inode.sync()
        elif path in self.disk.now:
            self.disk.sync_names(path)
        return True

    _fdatasync = _fsync

    def _ftruncate(self, path: str, _handle: str, args: str, _: Any) -> bool:
        inode = self._inode(path)
        if inode is not None:
            inode.pending.append((int(args.rsplit(",", 1)[1]), None))
        return True

    def _close(self, *_: Any) -> bool:
        return False

    def _unlink(self, names: list[str], *_: Any) -> bool:
        self.disk.forget(names[0])
        return True

    _unlinkat = _rmdir = _unlink

    def _rename(self, names: list[str], *_: Any) -> bool:
        old, new = names[0], names[1]
        self.disk.name(new, self.disk.now.get(old))
        self.disk.forget(old)
        return True

    _renameat = _renameat2 = _rename

    def _mkdir(self, names: list[str], *_: Any) -> bool:
        self.disk.name(names[0], None)
        return True

    _mkdirat = _mkdir


def record(folder: Path, balls: int) -> tuple[Path, Path, Path, list[str]]:
    """Runs the day under strace; returns the folder as it was before, the folder, the acknowledgements and the record."""
    before, data, acks, log = folder / "before", folder / "data", folder / "acks", folder / "record"
    me = [sys.executable, __file__]
    subprocess.run([*me, "--prepare", str(data)], check=True)
    shutil.copytree(data, before)
    trace = ["strace", "-f", "-y", "-xx", "-s", "200000", "-e", f"trace={CALLS}", "-o", str(log)]
    subprocess.run([*trace, *me, "--work", str(data), "--acks", str(acks), "--balls", str(balls)], check=True)
    mark = "".join(f"\\x{byte:02x}" for byte in str(data).encode())
    acks_mark = "".join(f"\\x{byte:02x}" for byte in str(acks).encode())
    return before, data, acks, [line for line in _whole(log) if mark in line or acks_mark in line]


def _whole(log: Path) -> list[str]:
    """The lines of a record, calls that another thread interrupted joined again."""
    begun: dict[str, str] = {}
    lines = []
    for line in log.read_text(encoding="ascii", errors="replace").splitlines():
        pid = line.split(" ", 1)[0]
        if line.endswith("<unfinished ...>"):
            begun[pid] = line.removesuffix("<unfinished ...>")
        elif " resumed>" in line and pid in begun:
            lines.append(begun.pop(pid) + line.split(" resumed>", 1)[1])
        else:
            lines.append(line)
    return lines


def check(place: Path, promised: list[dict[str, Any]]) -> list[str]:
    """What is wrong with a store after a cut, given what it had promised."""
    import pysqlite3.dbapi2 as sqlite

    wrong = []
    with sqlite.connect(place / "threequarter.db") as base:
        try:
            if (said := base.execute("PRAGMA integrity_check").fetchone()[0]) != "ok":
                return [f"integrity: {said}"]
            balls = {row[0] for row in base.execute("SELECT client_key FROM ball WHERE client_key IS NOT NULL")}
            backs = {
                row[0]
                for row in base.execute(
                    "SELECT ball.client_key FROM ball JOIN edit ON edit.ball_id = ball.id WHERE left_out_why IS NOT NULL"
                )
            }
            counts = dict(
                base.execute(
                    'SELECT session_id, count(*) FROM ball JOIN "import" ON import_id = "import".id GROUP BY 1'
                )
            )
            clips = {row[0]: row[1] for row in base.execute("SELECT id, state FROM clip")}
        except sqlite.DatabaseError as error:
            return [f"the database: {error}"]
    base.close()
    for what in promised:
        if "ball" in what and what["ball"] not in balls:
            wrong.append(f"ball {what['ball']} is missing")
        elif "back" in what and what["back"] not in backs:
            wrong.append(f"taking back {what['back']} is missing")
        elif "session" in what and counts.get(what["session"]) != what["balls"]:
            wrong.append(f"session {what['session']} has {counts.get(what['session'])} balls")
        elif "clip" in what:
            film = place / "clips" / str(what["clip"]) / "clip.mp4"
            whole = film.is_file() and hashlib.sha256(film.read_bytes()).hexdigest() == what["sha256"]
            if clips.get(what["clip"]) != "waiting" or not whole:
                wrong.append(f"clip {what['clip']} is {'cut' if film.is_file() else 'missing'}")
    return wrong


def cuts(states: int, seed: int, balls: int = 120, plant: str = "") -> dict[str, Any]:
    """Runs the rig; returns what was counted. Raises AssertionError with the first faults where a promise was broken."""
    rng = random.Random(seed)
    faults: list[str] = []
    with tempfile.TemporaryDirectory(prefix="threequarter-cut-") as scratch:
        before, data, acks, lines = record(Path(scratch), balls)
        shutil.rmtree(data)
        shutil.copytree(before, data)
        disk = Disk(data)
        replay = Replay(disk, acks, plant)
        moments = sorted(rng.choices(range(len(lines)), k=states))
        changes = at = 0
        for moment in moments:
            for line in lines[at : moment + 1]:
                changes += replay.step(line)
            at = moment + 1
            place = Path(scratch, "state")
            _lay_out(disk.after_cut(rng), data, place)
            faults += [f"after line {moment}: {one}" for one in check(place, replay.promised)][:3]
            shutil.rmtree(place)
            if len(faults) > 20:
                break
    found = {
        "states": states,
        "seed": seed,
        "changes": changes,
        "promises": len(replay.promised),
        "faults": len(faults),
    }
    if faults:
        raise AssertionError(found | {"first": faults[:5]})
    return found


def _lay_out(found: dict[str, bytes | None], data: Path, place: Path) -> None:
    place.mkdir()
    for path, content in found.items():
        target = place / Path(path).relative_to(data)
        if content is None:
            target.mkdir(exist_ok=True)
        elif not target.name.endswith("-shm"):  # shared memory is not on the disk; it is made anew
            target.write_bytes(content)


def prepare(data: Path) -> None:
    """An empty store with its schema, all of it on the disk."""
    from threequarter.store.store import Store

    Store.open(data).close()
    os.sync()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--states", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--balls", type=int, default=120)
    parser.add_argument("--plant", choices=["", "lost"], default="")
    parser.add_argument("--prepare", type=Path, help=argparse.SUPPRESS)
    parser.add_argument("--work", type=Path, help=argparse.SUPPRESS)
    parser.add_argument("--acks", type=Path, help=argparse.SUPPRESS)
    chosen = parser.parse_args()
    if chosen.prepare:
        prepare(chosen.prepare)
    elif chosen.work:
        work(chosen.work, chosen.acks, chosen.balls)
    else:
        sys.stdout.write(json.dumps(cuts(chosen.states, chosen.seed, chosen.balls, chosen.plant)) + "\n")


if __name__ == "__main__":
    main()

"""Hostile tables: cut, flipped, spliced, re-encoded, swollen, disguised. Each gives balls or one line of words, in time, and the
parent lives and stays small.

    python tests/torture/tables.py [--tables 5000] [--seed 1]

Each must be done in ten seconds of processor time, and one more for each megabyte (what the clock says hangs on what else the
machine does; a minute by it is a hang). A parent process reads each as the server does (small text itself, workbooks, Parquet and large text by a child with limits), so
a death, a traceback or a swollen process is seen from outside.
"""

import argparse
import io
import json
import os
import random
import re
import resource
import select
import subprocess
import sys
import tempfile
import time
import zipfile
import zlib
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

from threequarter.intake.own_format.columns import BY_NAME
from threequarter.intake.own_format.files import FORMS, write_own

HERE = Path(__file__).parent
OPEN = HERE.parent / "data" / "tables"
LONGEST_S, MOST_MB = 10.0, 300
DEAD_S = 180.0
NUMBERS = (
    "nan",
    "1e308",
    "-1e308",
    "inf",
    "1e-320",
    "9" * 400,
    "0x1p3",
    "١٢",
    "1.2.3.4",
    "-",
    "86,4,2",
    "=1+1",
    "1e99999",
    "٣٫٥",
)

Named = tuple[str, bytes]


def sources(seed: int, folder: Path) -> list[Named]:
    """Honest tables: the open ones, made messy ones, and one of our own in each form."""
    sys.path[:0] = [str(HERE.parent / "intake"), str(HERE.parent)]
    import messy
    import messy_wide

    found = [
        (path.name, path.read_bytes()) for path in sorted(OPEN.iterdir()) if path.suffix in (".csv", ".txt", ".xlsx")
    ]
    found += [("messy.csv", messy.make(seed + i)[0]) for i in range(12)]
    found += [(name, content) for name, content, _truth in (messy_wide.make(seed + i) for i in range(12))]
    rows = [
        dict.fromkeys(BY_NAME)
        | {
            "record": "ball",
            "club": "54",
            "swing": "waist",
            "carry_m": 40.0 + i,
            "number": i + 1,
            "use": True,
            "marked": False,
            "player": "Wren",
            "session_key": "s",
            "ball_key": f"b{i}",
            "unit": "yd",
        }
        for i in range(20)
    ]
    for form in FORMS:
        write_own(rows, form, folder / f"own.{form}")
        found.append((f"own.{form}", (folder / f"own.{form}").read_bytes()))
    return found


def corner(reference: str = "XFD1048576") -> bytes:
    """A workbook of a kilobyte with one cell in a far corner."""
    return book(f'<sheetData><row r="1048576"><c r="{reference}"><v>1</v></c></row></sheetData>')


def book(sheet: str, extra: bytes = b"", strings: str = "") -> bytes:
    """A workbook with one sheet of this XML."""
    parts = {
        "[Content_Types].xml": '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/><Override PartName="/xl/worksheets/sheet1.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/></Types>',
        "_rels/.rels": '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": '<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="Sheet1" sheetId="1" r:id="rId1"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/><Relationship Id="rId2" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/sharedStrings" Target="sharedStrings.xml"/></Relationships>',
        "xl/worksheets/sheet1.xml": f'<?xml version="1.0"?>{strings}<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">{sheet}</worksheet>',
        "xl/sharedStrings.xml": '<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"/>',
    }
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as pack:
        for name, text in parts.items():
            pack.writestr(name, text)
        if extra:
            pack.writestr("xl/media/image1.png", extra)
    return out.getvalue()


def _cell(row: int, text: str) -> str:
    return f'<row r="{row}"><c r="A{row}" t="inlineStr"><is><t>{text}</t></is></c></row>'


def known_traps() -> list[Named]:
    """What once broke a reader somewhere, and what is simply too much."""
    laughs = (
        '<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa">'
        + "".join(f'<!ENTITY {chr(98 + i)} "{f"&{chr(97 + i)};" * 10}">' for i in range(9))
        + "]>"
    )
    head = b"Club,Swing,Carry (yd)\n54,waist,50\n"
    return [
        ("corner.xlsx", corner()),
        ("corner2.xlsx", corner("ZZ60000")),
        ("corner3.xlsx", corner("A1048576")),
        ("no.xlsx", corner("??")),
        ("bomb.xlsx", book(f"<sheetData>{_cell(1, 'x')}</sheetData>", extra=bytes(80 * 2**20))),
        (
            "swollen.xlsx",
            book("<sheetData>" + "".join(_cell(i, "carry " * 200) for i in range(1, 20_000)) + "</sheetData>"),
        ),
        ("laughs.xlsx", book(f"<sheetData>{_cell(1, '&j;')}</sheetData>", strings=laughs)),
        ("rows.csv", head + b"54,waist,50\n" * 200_000),
        ("columns.csv", b",".join(b"c%d" % i for i in range(1_000_000)) + b"\n" + b"1," * 1_000_000),
        ("cell.csv", head + b'54,"' + b"w" * 1_000_000 + b'",50\n'),
        ("quote.csv", head + b'54,"' + b"waist,50\n54," * 40_000),
        ("line.txt", b"54 waist " + b"51 " * 300_000),
        ("commas.csv", b"," * 5_000_000),
        ("newlines.csv", b"\n" * 5_000_000),
        ("tabs.txt", b"\t \t" * 900_000),
        ("digits.csv", head + b"54,waist," + b"9" * 240_000 + b"\n"),
        ("nul.csv", head.replace(b"waist", b"wa\0ist") * 20),
        ("nul16.csv", head.decode().encode("utf-16")),
        ("be.csv", head.decode().encode("utf-16-be")),
        ("nest.json", b"[" * 200_000),
        ("nest2.json", b'{"a":' * 200_000),
        ("own.json", b'{"format": "threequarter balls 1", "rows": [{"record": NaN, "carry_m": 1e999}]}'),
        ("empty.csv", b""),
        ("bom.csv", b"\xef\xbb\xbf"),
        ("pk.xlsx", b"PK\x03\x04"),
        ("par.parquet", b"PAR1"),
        ("ole.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(4000)),
        ("rtl.csv", "Club,Swing,Carry (yd),Player\n54,waist,50,\u202ecod.exe\n".encode()),
        ("dashes.csv", b"-" * 250_000),
        ("words.csv", b"carry " * 40_000 + b"\n1\n"),
        ("spaces.txt", b"Club   Swing   Carry (yd)\n" + b"54      waist     50\n" * 8_000),
        ("html.csv", b"<table><tr><td>carry</td></tr></table>" * 2000),
    ]


def _cut(data: bytes, rng: random.Random) -> bytes:
    return data[: rng.randrange(len(data))]


def _flip(data: bytes, rng: random.Random) -> bytes:
    out = bytearray(data)
    for _ in range(rng.choice((1, 3, 20, 200))):
        out[rng.randrange(len(out))] ^= 1 << rng.randrange(8)
    return bytes(out)


def _splice(data: bytes, rng: random.Random) -> bytes:
    at, end = sorted(rng.choices(range(len(data)), k=2))
    into = rng.randrange(len(data))
    return data[:into] + data[at:end] * rng.choice((1, 1, 2, 30)) + data[into:]


def _encode(data: bytes, rng: random.Random) -> bytes:
    text = data.decode("utf-8", errors="replace")
    return text.encode(
        rng.choice(("utf-16", "utf-16-be", "utf-16-le", "cp932", "utf-32", "cp037", "utf-7", "gbk", "koi8_r")),
        errors="replace",
    )


def _number(data: bytes, rng: random.Random) -> bytes:
    found = list(re.finditer(rb"\d+[.,]?\d*", data))
    for match in reversed(rng.sample(found, min(len(found), rng.choice((1, 5, 50))))):
        data = data[: match.start()] + rng.choice(NUMBERS).encode() + data[match.end() :]
    return data


def _sign(data: bytes, rng: random.Random) -> bytes:
    """One sign turned into another everywhere: separators, marks, line ends, nothing."""
    return data.replace(
        rng.choice((b",", b";", b"\n", b".", b'"', b"\t", b"\r")),
        rng.choice((b",", b";", b"\n", b"", b'"', b"\0", b"\r", b"|", b"  ")),
    )


def _huge(data: bytes, rng: random.Random) -> bytes:
    at = rng.randrange(len(data))
    return (
        data[:at]
        + rng.choice((b"x", b"9", b",", b'"', b"-", b" ", b"1,2\n", "ü".encode())) * rng.choice((1000, 50_000, 300_000))
        + data[at:]
    )


def _rows(data: bytes, rng: random.Random) -> bytes:
    lines = data.split(b"\n")
    rng.shuffle(lines)
    return b"\n".join(lines * rng.choice((1, 1, 3, 40)))


def _inside(data: bytes, rng: random.Random) -> bytes:
    """One file within a workbook changed, the archive sound."""
    try:
        pack = zipfile.ZipFile(io.BytesIO(data))
        parts = {name: pack.read(name) for name in pack.namelist()}
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, EOFError, OSError, ValueError):
        return data
    if not parts:
        return data
    name = rng.choice([name for name in parts if name.endswith(".xml")] or list(parts))
    parts[name] = rng.choice((_cut, _flip, _splice, _number, _huge, _sign))(parts[name] or b" ", rng)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for part, content in parts.items():
            made.writestr(part, content)
    return out.getvalue()


TEXT: tuple[Callable[[bytes, random.Random], bytes], ...] = (
    _cut,
    _flip,
    _splice,
    _encode,
    _number,
    _sign,
    _huge,
    _rows,
)
BINARY: tuple[Callable[[bytes, random.Random], bytes], ...] = (_cut, _flip, _flip, _splice, _inside, _inside, _inside)


def mutant(found: list[Named], rng: random.Random) -> Named:
    """One hostile table; one in twenty under another's ending."""
    name, data = rng.choice(found)
    for _ in range(rng.choice((1, 1, 2, 3))):
        if data:
            data = rng.choice(BINARY if data[:4] in (b"PK\x03\x04", b"PAR1") else TEXT)(data, rng)
    if rng.random() < 0.05:
        name = rng.choice(("a.csv", "a.xlsx", "a.parquet", "a.json", "a.txt", "a.xls", "a"))
    return name, data[: 30 * 2**20]


def _worked() -> float:
    """Processor seconds of this process and of the children that ended."""
    used = os.times()
    return used.user + used.system + used.children_user + used.children_system


def parent() -> None:
    """Reads files named on standard input as the server does, and says what became of each."""
    from threequarter.intake.safe_reading import read_safely
    from threequarter.intake.tables.fingerprint import shape_key
    from threequarter.store.imports import import_batch

    for line in sys.stdin:
        told = json.loads(line)
        content, begun, worked = Path(told["path"]).read_bytes(), time.perf_counter(), _worked()
        try:
            shape_key(content, told["name"])
            found = import_batch.inspect_file(content, told["name"], reader=read_safely)
            said = str(found.error or "") or ("asks" if found.open else "balls")
        except Exception as error:  # noqa: BLE001 - whatever it is, it is what the rig looks for
            said = f"TRACEBACK {type(error).__name__}: {error}"
        took = time.perf_counter() - begun
        peak = re.search(
            r"VmHWM:\s+(\d+) kB", Path("/proc/self/status").read_text()
        )  # ru_maxrss would live through exec
        mb = int(peak[1]) / 1024 if peak else 0.0
        child = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
        sys.stdout.write(
            json.dumps({"said": said[:300], "s": took, "cpu_s": _worked() - worked, "mb": mb, "child_mb": child}) + "\n"
        )
        sys.stdout.flush()


class Parent:
    """The reading process, started again when it died."""

    def __init__(self) -> None:
        self.deaths = 0
        self._start()

    def _start(self) -> None:
        command = [sys.executable, str(Path(__file__)), "--parent"]
        self._child = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)

    def read(self, path: Path, name: str) -> dict[str, Any]:
        """What became of a file; a death or a hang is told as such."""
        assert self._child.stdin is not None
        assert self._child.stdout is not None
        self._child.stdin.write(json.dumps({"path": str(path), "name": name}) + "\n")
        self._child.stdin.flush()
        ready, _, _ = select.select([self._child.stdout], [], [], DEAD_S)
        line = self._child.stdout.readline() if ready else ""
        if line:
            found: dict[str, Any] = json.loads(line)
            return found
        self.close()
        self.deaths += 1
        self._start()
        return {"said": "DEAD" if ready else "HUNG", "s": DEAD_S, "cpu_s": DEAD_S, "mb": 0.0, "child_mb": 0.0}

    def close(self) -> None:
        """Ends it."""
        self._child.kill()
        self._child.wait()
        for pipe in (self._child.stdin, self._child.stdout):
            if pipe:
                pipe.close()


def tables(count: int, seed: int, keep: Path | None = None, minutes: float = 1e9) -> dict[str, Any]:
    """Runs the rig; returns what was counted and, under "bad", each table that broke a promise (kept in `keep`)."""
    rng, said, bad = random.Random(seed), Counter[str](), []
    slowest = worked = mb = child_mb = 0.0
    with tempfile.TemporaryDirectory(prefix="threequarter-tables-") as scratch:
        found = sources(seed, Path(scratch))
        hostile: list[Named] = known_traps()
        reader, path = Parent(), Path(scratch, "hostile")
        try:
            done, until = 0, time.monotonic() + 60 * minutes
            for at in range(count):
                if time.monotonic() > until:
                    break
                done += 1
                name, content = hostile[at] if at < len(hostile) else mutant(found, rng)
                path.write_bytes(content)
                told = reader.read(path, name)
                slowest, worked = max(slowest, told["s"]), max(worked, told["cpu_s"])
                mb, child_mb = max(mb, told["mb"]), max(child_mb, told["child_mb"])
                what = told["said"]
                broke = (
                    what.startswith(("TRACEBACK", "DEAD", "HUNG"))
                    or told["cpu_s"] > LONGEST_S + len(content) / 2**20
                    or told["s"] > DEAD_S
                    or told["mb"] > MOST_MB
                    or "\n" in what
                    or "Traceback" in what
                )
                if broke:
                    bad.append(
                        f"{at} {name} ({len(content)} bytes): {what[:160]}, {told['s']:.1f} s, {told['cpu_s']:.1f} s worked, {told['mb']:.0f} MiB"
                    )
                    if keep:
                        (keep / f"{seed}-{at}-{name}").write_bytes(content)
                said[what if what in ("balls", "asks") else "refused"] += 1
        finally:
            reader.close()
    return {
        "tables": done,
        "seed": seed,
        **said,
        "deaths": reader.deaths,
        "slowest_s": round(slowest, 2),
        "slowest_cpu_s": round(worked, 2),
        "parent_mib": round(mb),
        "largest_child_mib": round(child_mb),
        "bad": bad,
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--tables", type=int, default=5000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=1e9, help="Stop after so long and say how many were read.")
    parser.add_argument("--keep", type=Path, help="Folder for the tables that broke a promise.")
    parser.add_argument("--parent", action="store_true", help=argparse.SUPPRESS)
    chosen = parser.parse_args()
    if chosen.parent:
        parent()
        return
    if chosen.keep:
        chosen.keep.mkdir(parents=True, exist_ok=True)
    told = tables(chosen.tables, chosen.seed, chosen.keep, chosen.minutes)
    sys.stdout.write(json.dumps(told) + "\n")
    sys.exit(1 if told["bad"] else 0)


if __name__ == "__main__":
    main()

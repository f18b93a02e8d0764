"""Takes date and place out of an MP4 or MOV file, in place: the film stays byte for byte, its tags become empty boxes.

Boxes as in ISO/IEC 14496-12. Other containers are left as they are.
"""

import struct
from pathlib import Path
from typing import BinaryIO, Final

INSIDE: Final = (b"moov", b"trak", b"mdia")
EMPTIED: Final = (b"udta", b"meta", b"uuid")
DATED: Final = (b"mvhd", b"tkhd", b"mdhd")
MOST_BOXES: Final = 10_000


def strip_tags(path: Path) -> int:
    """How many boxes were emptied or undated; 0 for a file of another kind."""
    with path.open("r+b") as file:
        first = file.read(8)
        if first[4:8] not in (b"ftyp", b"moov", b"wide", b"mdat", b"free", b"skip"):
            return 0
        return _walk(file, 0, path.stat().st_size, [0])


def _walk(file: BinaryIO, start: int, end: int, seen: list[int]) -> int:
    changed, at = 0, start
    while at + 8 <= end and seen[0] < MOST_BOXES:
        seen[0] += 1
        file.seek(at)
        head = file.read(16)
        size, kind, body = struct.unpack(">I", head[:4])[0], head[4:8], at + 8
        if size == 1 and len(head) == 16:
            size, body = struct.unpack(">Q", head[8:])[0], at + 16
        elif size == 0:
            size = end - at
        if size < body - at or at + size > end:
            break
        if kind in INSIDE:
            changed += _walk(file, body, at + size, seen)
        elif kind in EMPTIED:
            file.seek(at + 4)
            file.write(b"free")
            file.seek(body)
            file.write(bytes(at + size - body))
            changed += 1
        elif kind in DATED:
            file.seek(body)
            version = file.read(1)
            file.seek(body + 4)
            file.write(bytes(16 if version == b"\x01" else 8))
            changed += 1
        at += size
    return changed

"""When a film was taken: what an MP4 or MOV file says of its making, and how long it runs (ISO/IEC 14496-12, box `mvhd`)."""

import datetime
import struct
from pathlib import Path
from typing import BinaryIO, Final

EPOCH: Final = datetime.datetime(1904, 1, 1)
MOST_BOXES: Final = 10_000
NEAR: Final = datetime.timedelta(seconds=10)


def film_times(path: Path) -> tuple[datetime.datetime | None, float | None]:
    """When the file says it was made (UTC) and its length in seconds; None for what it does not tell."""
    with path.open("rb") as file:
        at = _find(file, 0, path.stat().st_size, (b"moov", b"mvhd"), [0])
        if at is None:
            return None, None
        file.seek(at)
        head = file.read(32)
    if len(head) < 32:
        return None, None
    if head[0] == 1:
        made, _, scale, length = struct.unpack(">QQIQ", head[4:32])
    else:
        made, _, scale, length = struct.unpack(">IIII", head[4:20])
    seconds = length / scale if scale and length else None
    return (EPOCH + datetime.timedelta(seconds=made) if 0 < made < 2**33 else None), seconds


def first_picture_at(
    made: datetime.datetime | None, seconds: float | None, saved: datetime.datetime | None
) -> datetime.datetime | None:
    """When the first picture was taken, from what the file says (`made`), its length, and when the phone saved it (all UTC).

    Some phones write the start of the film as its making, others the end (from memory, no source): when `made` lies where the
    film was saved, it is the end. None where neither is known.
    """
    length = datetime.timedelta(seconds=seconds or 0.0)
    if saved is None:
        return made
    at_start = made is not None and abs(made - saved) > NEAR and abs(made + length - saved) <= max(NEAR, length)
    return made if at_start else saved - length


def _find(file: BinaryIO, start: int, end: int, path: tuple[bytes, ...], seen: list[int]) -> int | None:
    """Where the content of a box begins, by the names of the boxes it lies in."""
    at = start
    while at + 8 <= end and seen[0] < MOST_BOXES:
        seen[0] += 1
        file.seek(at)
        head = file.read(16)
        if len(head) < 8:
            return None
        size, kind, body = struct.unpack(">I", head[:4])[0], head[4:8], at + 8
        if size == 1 and len(head) == 16:
            size, body = struct.unpack(">Q", head[8:])[0], at + 16
        elif size == 0:
            size = end - at
        if size < body - at or at + size > end:
            return None
        if kind == path[0]:
            return body if len(path) == 1 else _find(file, body, at + size, path[1:], seen)
        at += size
    return None

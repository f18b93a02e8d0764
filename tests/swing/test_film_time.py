"""When a film was taken, by what the file and the phone say."""

import datetime
import struct
from pathlib import Path

import pytest

from threequarter.swing.film_time import EPOCH, film_times, first_picture_at

CLIPS = Path(__file__).parents[1] / "data" / "swings"
NOON = datetime.datetime(2026, 5, 2, 12, 0, 0)


def mp4(made: int, scale: int, length: int, version: int = 0) -> bytes:
    body = bytes([version, 0, 0, 0])
    body += (
        struct.pack(">QQIQ", made, made, scale, length) if version else struct.pack(">IIII", made, made, scale, length)
    )
    mvhd = struct.pack(">I", 8 + len(body) + 80) + b"mvhd" + body + bytes(80)
    return struct.pack(">I4s8s", 16, b"ftyp", b"isom0000") + struct.pack(">I", 8 + len(mvhd)) + b"moov" + mvhd


@pytest.mark.parametrize("version", [0, 1])
def test_the_header_tells_when_and_how_long(tmp_path: Path, version: int) -> None:
    film = tmp_path / "film.mp4"
    film.write_bytes(mp4(int((NOON - EPOCH).total_seconds()), 600, 600 * 42, version))
    assert film_times(film) == (NOON, 42.0)


def test_a_real_clip_tells_its_length_and_a_broken_one_nothing(tmp_path: Path) -> None:
    import av

    clip = CLIPS / "o09_three_swings.mp4"
    with av.open(str(clip)) as container:
        assert container.duration is not None
        truth = container.duration / 1e6
    assert film_times(clip)[1] == pytest.approx(truth, abs=0.05)
    broken = tmp_path / "broken.mp4"
    for content in (b"", b"\0" * 40, mp4(1, 0, 0)[:30], b"not a film at all"):
        broken.write_bytes(content)
        assert film_times(broken) == (None, None)
    broken.write_bytes(mp4(0, 0, 0))
    assert film_times(broken) == (None, None)


def test_start_and_end_of_a_film_are_told_apart() -> None:
    length = datetime.timedelta(seconds=60)
    assert first_picture_at(NOON, 60.0, None) == NOON
    assert first_picture_at(NOON, 60.0, NOON + length) == NOON  # made is the start
    assert first_picture_at(NOON, 60.0, NOON + datetime.timedelta(seconds=2)) == NOON - length + datetime.timedelta(
        seconds=2
    )  # made is the end
    assert first_picture_at(None, 60.0, NOON) == NOON - length
    assert first_picture_at(None, 60.0, None) is None
    assert (
        first_picture_at(NOON - datetime.timedelta(days=9000), 60.0, NOON) == NOON - length
    )  # a clock that was never set

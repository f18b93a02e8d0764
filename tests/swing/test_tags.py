"""Date and place leave a clip; its pictures do not."""

import shutil
from pathlib import Path

import pytest

from threequarter.swing.decode import frames
from threequarter.swing.tags import strip_tags

CLIP = Path(__file__).parents[1] / "data" / "swings" / "o10_indoor_30fps.mp4"


def test_tags_leave_and_the_pictures_stay(tmp_path: Path) -> None:
    import av

    tagged = tmp_path / "tagged.mp4"
    with av.open(str(CLIP)) as source, av.open(str(tagged), "w") as target:
        target.metadata["location"] = "+48.1000+011.5000/"
        target.metadata["creation_time"] = "2026-05-31T10:00:00Z"
        stream = target.add_stream_from_template(source.streams.video[0])
        for packet in source.demux(video=0):
            if packet.dts is not None:
                packet.stream = stream
                target.mux(packet)
    assert b"loci" in tagged.read_bytes()
    plain = tmp_path / "plain.mp4"
    shutil.copy(tagged, plain)
    assert strip_tags(plain) >= 3
    assert b"loci" not in plain.read_bytes()
    assert len(plain.read_bytes()) == len(tagged.read_bytes())
    with av.open(str(plain)) as container:
        assert "location" not in container.metadata
        assert not container.metadata.get("creation_time", "").startswith("2026")
    for a, b in zip(frames(tagged, spans=((0.0, 0.2),)), frames(plain, spans=((0.0, 0.2),)), strict=True):
        assert a.time_s == pytest.approx(b.time_s)
        assert (a.rgb == b.rgb).all()


def test_what_is_no_mp4_is_left_alone(tmp_path: Path) -> None:
    other = tmp_path / "x.mkv"
    other.write_bytes(b"\x1a\x45\xdf\xa3" + b"x" * 100)
    assert strip_tags(other) == 0
    assert other.read_bytes().endswith(b"x" * 100)

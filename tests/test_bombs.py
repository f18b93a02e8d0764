"""Small files that unpack to far more than anybody needs, through every door that takes files: refused in words before they are unpacked.

And readers that never come to an end: ended, told, and nothing of them left running.
"""

import io
import subprocess
import sys
import zipfile
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from sqlalchemy import func, select
from starlette.testclient import TestClient
from tests.saying import raises_saying

import threequarter as tq
from threequarter.cli.main import group
from threequarter.golf.errors import UserError
from threequarter.intake import sandbox
from threequarter.jobs.clip_runner import analyse
from threequarter.language import say_error
from threequarter.store.clips.clips import Clips
from threequarter.store.database.schema import BallRow
from threequarter.store.store import Store
from threequarter.swing import decode
from threequarter.web.app import make_app
from web_support import inner_of

pytestmark = pytest.mark.slow

HOST = "127.0.0.1:8754"


def parquet_bomb() -> bytes:
    """Five million rows, all alike, in a few kB."""
    arrow, parquet = pytest.importorskip("pyarrow"), pytest.importorskip("pyarrow.parquet")
    out = io.BytesIO()
    rows = arrow.chunked_array([arrow.array([30.2] * 1000).dictionary_encode().cast(arrow.float64())] * 5000)
    parquet.write_table(arrow.table({"Carry (m)": rows}), out, compression="zstd", use_dictionary=True)
    return out.getvalue()


def workbook_bomb() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as bomb:
        bomb.writestr("xl/worksheets/sheet1.xml", b"0" * (40 * 2**20))
    return out.getvalue()


@pytest.fixture(scope="module")
def tables() -> dict[str, bytes]:
    return {"bomb.parquet": parquet_bomb(), "bomb.xlsx": workbook_bomb()}


@pytest.fixture(scope="module")
def film(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Thirty thousand pictures of sixteen million pixels each, all black, in a few MB."""
    av = pytest.importorskip("av")
    import numpy as np

    path = tmp_path_factory.mktemp("film") / "bomb.mp4"
    with av.open(str(path), "w") as out:
        stream = out.add_stream("libx264", rate=60, options={"preset": "ultrafast", "bf": "0", "g": "999999"})
        stream.width = stream.height = 4096
        stream.pix_fmt, stream.time_base = "yuv420p", Fraction(1, 60)
        black = av.VideoFrame.from_ndarray(np.zeros((4096, 4096, 3), np.uint8), format="rgb24")
        packets = [bytes(packet) for frame in (black, black, None) for packet in stream.encode(frame)]
        for number in range(30_000):
            packet = av.Packet(packets[min(number, 1)])
            packet.stream, packet.pts, packet.dts, packet.time_base = stream, number, number, Fraction(1, 60)
            packet.is_keyframe = number == 0
            out.mux(packet)
    assert path.stat().st_size < 20 * 2**20
    return path


def by_command(*words: str) -> Callable[[str, bytes, Path], str]:
    def type_it(name: str, content: bytes, folder: Path) -> str:
        (folder / name).write_bytes(content)
        done = CliRunner().invoke(group, [word.format(file=folder / name, data=folder / "data") for word in words])
        assert isinstance(done.exception, UserError), done.output  # the program says it in a line and ends with 2
        return say_error(done.exception)

    return type_it


def by_python(name: str, content: bytes, _folder: Path) -> str:
    try:
        tq.read(content, name=name)
    except tq.UserError as error:
        return str(error)
    raise AssertionError("it was read")


def by_page(path: str) -> Callable[[str, bytes, Path], str]:
    def send(name: str, content: bytes, folder: Path) -> str:
        app = make_app(folder / "pages", frozenset({HOST}))
        with TestClient(app, base_url=f"http://{HOST}", raise_server_exceptions=False) as client:
            lesson = client.post("/lesson", data={"player": "Wren Sedge", "unit": "m"})
            there = path.format(lesson=lesson.url.path.split("/")[2]) if "{" in path else path
            answer = client.post(there, files={"file": (name, content)})
            assert answer.status_code < 500, answer.text
            with inner_of(app).state.store.reading() as session:
                assert session.scalar(select(func.count(BallRow.id))) == 0
            return answer.text

    return send


DOORS: dict[str, Callable[[str, bytes, Path], str]] = {
    "read": by_command("read", "{file}"),
    "chart": by_command("chart", "{file}"),
    "import": by_command("import", "{file}", "--for", "Wren", "--data", "{data}"),
    "python": by_python,
    "a page": by_page("/look"),
    "a script": by_page("/api/import"),
    "a lesson": by_page("/sessions/{lesson}/lesson/table"),
}


@pytest.mark.parametrize("name", ["bomb.parquet", "bomb.xlsx"])
@pytest.mark.parametrize("door", DOORS)
def test_a_table_that_unpacks_to_far_more_is_refused_through_every_door(
    tables: dict[str, bytes], tmp_path: Path, door: str, name: str
) -> None:
    said = DOORS[door](name, tables[name], tmp_path)
    assert ("3 million cells" if name.endswith("parquet") else "unpacks to") in said


def test_a_film_of_pictures_without_end_is_refused_through_every_door(film: Path, tmp_path: Path) -> None:
    assert "pictures of 4096 by 4096" in by_command("swing", "{file}")("bomb.mp4", film.read_bytes(), tmp_path)
    with pytest.raises(tq.UserError, match=r"30,?000 pictures"):
        tq.swing(film)
    with Store(tmp_path) as store:  # what comes by a page is measured by a worker, in a process of its own
        clips, content = Clips(store), film.read_bytes()
        clip = clips.begin("bomb.mp4", len(content))
        clips.take(clip, 0, content)
        assert analyse(clips, clip, "worker") == "failed"
        assert getattr(clips.clip(clip).error, "code", "") == "swing.clip_too_much"


def sleeping(before: str = "") -> list[str]:
    """A reader that says something and never comes to an end."""
    return [sys.executable, "-c", f"import time; print({before!r}, flush=True); time.sleep(1000)"]


@pytest.fixture
def started(monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """Every process that is started."""
    every: list[Any] = []
    usual = subprocess.Popen

    def start(*words: Any, **more: Any) -> Any:
        every.append(usual(*words, **more))
        return every[-1]

    monkeypatch.setattr(subprocess, "Popen", start)
    return every


SAYS = '{"width": 64, "height": 64, "codec": "h264", "fps": 30.0, "duration_s": 1.0, "filmed_fps": null}'


@pytest.mark.parametrize("before", ["", SAYS], ids=["before its first word", "before its first picture"])
def test_a_decoder_that_hangs_is_ended_and_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, started: list[Any], before: str
) -> None:
    words = sleeping(before) if before else [sys.executable, "-c", "import time; time.sleep(1000)"]
    monkeypatch.setattr(decode, "child_command", lambda *_told: words)
    monkeypatch.setattr(decode, "STALLED_S", 0.5)
    (tmp_path / "a.mp4").write_bytes(b"a film")
    with pytest.raises(UserError):
        list(decode.frames(tmp_path / "a.mp4"))
    assert [one.poll() is not None for one in started] == [True]


def test_a_reader_of_tables_that_hangs_is_ended_and_told(monkeypatch: pytest.MonkeyPatch, started: list[Any]) -> None:
    monkeypatch.setattr(sandbox, "child_command", lambda *_told: sleeping("{}"))
    monkeypatch.setattr(sandbox, "BY_THE_CLOCK", 0.1)
    with raises_saying(UserError, "could not be read"):
        list(sandbox.lines_of(b"a table"))
    assert [one.poll() is not None for one in started] == [True]

"""Pages whose films lie in an S3-compatible store: shown and played by a server that has no copy, and told plainly when
it is away."""

import os
import shutil
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.s3_support import S3Server, no_port

from threequarter.store.clips.clips import Clips
from threequarter.store.media.media_files import pictures_of
from threequarter.store.store import Store
from threequarter.web.app import make_app

HOST = "127.0.0.1:8754"
FILM = os.urandom(50_000)


def pages(folder: Path) -> TestClient:
    app = make_app(folder, frozenset({HOST}), work=False)
    return TestClient(app, base_url=f"http://{HOST}", raise_server_exceptions=False)


def measured(folder: Path) -> int:
    """A film that came and was measured, of which this machine has no copy any more."""
    with Store.open(folder) as store:
        clips = Clips(store)
        clip = clips.begin("swing.mp4", len(FILM))
        clips.take(clip, 0, FILM)
        scratch = clips.folder(clip) / ".work-somebody"
        (scratch / "pictures").mkdir(parents=True)
        (scratch / "pictures" / "clip-swing-1.svg").write_text("<svg xmlns='http://www.w3.org/2000/svg'/>")
        (scratch / "track.npz").write_bytes(b"points")
        (scratch / "answer.json").write_text('{"swings": [], "words": [], "warnings": [], "handedness": "right"}')
        assert clips.keep_answer(clip, scratch)
        shutil.rmtree(store.clips_dir)
    return clip


def test_a_server_without_a_copy_shows_the_pictures_and_plays_the_film(tmp_path: Path, bucket: str) -> None:
    clip = measured(tmp_path)
    with pages(tmp_path) as client:
        page = client.get(f"/clips/{clip}")
        assert (page.status_code, "Watch the clip" in page.text) == (200, True)
        assert client.get(f"/clips/{clip}/pictures/clip-swing-1.svg").text.startswith("<svg")
        assert client.get(f"/clips/{clip}/pictures/other.svg").status_code == 404
        whole = client.get(f"/clips/{clip}/film")
        assert (whole.content, whole.headers["content-type"], whole.headers["cache-control"]) == (
            FILM,
            "video/mp4",
            "no-store",
        )
        part = client.get(f"/clips/{clip}/film", headers={"range": "bytes=1000-1999"})
        assert (part.status_code, part.content) == (206, FILM[1000:2000])
        assert part.headers["content-range"] == f"bytes 1000-1999/{len(FILM)}"
        assert client.get(f"/clips/{clip}/film", headers={"range": "bytes=90000-"}).status_code == 416
        assert client.get("/clips/99/film").status_code == 404


def test_while_the_store_is_away_each_page_that_needs_it_says_when_to_try_again(
    tmp_path: Path, s3: S3Server, bucket: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    clip = measured(tmp_path)
    with monkeypatch.context() as patch:
        patch.setenv("AWS_ENDPOINT_URL", f"http://127.0.0.1:{no_port()}")
        with pages(tmp_path) as client:
            begun = client.post("/clips/begin", data={"name": "a.mp4", "size": "10", "agree": "yes"}).json()["id"]
            answers = [
                client.get(f"/clips/{clip}"),
                client.get(f"/clips/{clip}/film"),
                client.get(f"/clips/{clip}/pictures/clip-swing-1.svg"),
                client.post(f"/clips/{clip}/delete"),
                client.put(f"/clips/{begun}/bytes?at=0", content=b"0123456789"),
            ]
            assert [answer.status_code for answer in answers] == [503] * len(answers)
            assert [answer.headers["retry-after"] for answer in answers] == ["2"] * len(answers)
            assert client.get("/").status_code == 200
    with pages(tmp_path) as client:
        assert client.get(f"/clips/{clip}").status_code == 200
        sent = client.put(f"/clips/{begun}/bytes?at=0", content=b"0123456789").json()  # as a phone does
        assert sent == {"received": 10, "state": "waiting"}
    assert len(pictures_of(tmp_path / "clips-here" / str(clip))) == 1
    assert sum(name.endswith("clip.mp4") for name in s3.objects(bucket)) == 2


def test_a_film_in_a_folder_plays_as_well_and_one_that_still_comes_does_not(tmp_path: Path) -> None:
    with Store.open(tmp_path) as store:
        clips = Clips(store)
        whole, half = (clips.begin("swing.mov", len(FILM)) for _ in range(2))
        clips.take(whole, 0, FILM)
        clips.take(half, 0, FILM[:100])
    with pages(tmp_path) as client:
        answer = client.get(f"/clips/{whole}/film")
        assert (answer.content, answer.headers["content-type"]) == (FILM, "video/quicktime")
        assert client.get(f"/clips/{half}/film").status_code == 404
        assert "/film" not in client.get(f"/clips/{half}").text

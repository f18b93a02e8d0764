"""The film of a measured clip as a working surface, in a real browser; the measures come from a track that was kept."""

import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from browser_support import ARGS, CHROMIUM, LAPTOP, PHONE, Server
from threequarter.answers.swing import swings_answer
from threequarter.store.clips.clips import Clips
from threequarter.store.store import Store
from threequarter.swing.check import check
from threequarter.swing.keep import load_track

CLIPS = Path(__file__).parents[1] / "data" / "swings"
NAME = "o09_three_swings"

pytestmark = pytest.mark.slow


def webm_of(clip: Path, target: Path) -> bytes:
    """The film in a form that a browser without patented decoders plays, small."""
    from fractions import Fraction

    import av

    with av.open(str(clip)) as source, av.open(str(target), "w", format="webm") as out:
        stream = out.add_stream("libvpx", rate=60, options={"deadline": "realtime", "cpu-used": "8", "g": "30"})
        stream.width, stream.height, stream.pix_fmt, stream.bit_rate = 180, 320, "yuv420p", 400_000
        stream.time_base = stream.codec_context.time_base = Fraction(1, 60)
        for n, frame in enumerate(source.decode(video=0)):
            small = frame.reformat(180, 320, "yuv420p")
            small.pts, small.time_base = n, Fraction(1, 60)
            for packet in stream.encode(small):
                out.mux(packet)
        for packet in stream.encode(None):
            out.mux(packet)
    return target.read_bytes()


def measured(data: Path) -> int:
    """A clip as it stands after its analysis."""
    clips = Clips(Store.open(data))
    content = webm_of(CLIPS / f"{NAME}.mp4", data / "small.webm")
    clips.agree(None, "Robin")
    clip = clips.begin("three.webm", len(content), session_id=None, felt="chest")
    clips.take(clip, 0, content)
    clips.mark(clip, "running")
    scratch = data / "scratch"
    (scratch / "pictures").mkdir(parents=True)
    shutil.copy(CLIPS / "tracks" / f"{NAME}.npz", scratch / "track.npz")
    answer = swings_answer(check(load_track(scratch / "track.npz")), ["chest"])
    (scratch / "answer.json").write_text(json.dumps(answer))
    assert clips.keep_answer(clip, scratch)
    return clip


def at_of(page: Any) -> float:
    return float(page.locator("#film-at").input_value())


def until(page: Any, expression: str) -> None:
    """Waits for an expression to hold; the browser's own waiting would evaluate text, which the pages forbid."""
    for _ in range(100):
        if page.evaluate(expression):
            return
        page.wait_for_timeout(100)
    raise AssertionError(expression)


@pytest.mark.parametrize("size", [PHONE, pytest.param(LAPTOP, marks=pytest.mark.long)], ids=["phone", "laptop"])
def test_the_film_is_stepped_marked_and_laid_beside_another(tmp_path: Path, size: Any) -> None:
    from playwright.sync_api import sync_playwright

    clip = measured(tmp_path)
    with Server(tmp_path) as server, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=ARGS)
        page: Any = browser.new_page(viewport=size)
        wrong: list[str] = []
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.goto(f"{server.address}/clips/{clip}")
        page.locator("#film.ready").wait_for()
        page.wait_for_function("document.querySelector('#film-picture').width > 100")
        top = at_of(page)
        assert top == pytest.approx(3.17, abs=0.1)  # it opens at the top of the first swing
        page.locator("#film-picture").focus()
        page.keyboard.press("ArrowRight")
        assert at_of(page) == pytest.approx(top + 1 / 60, abs=0.009)
        page.keyboard.press("ArrowLeft")
        page.get_by_role("button", name="impact", exact=True).click()
        assert at_of(page) == pytest.approx(3.46, abs=0.05)
        drawn = "[...document.querySelector('#film-picture').getContext('2d').getImageData(0, 0, 180, 320).data].filter((v, k, all) => k % 4 === 0 && v < 25 && all[k + 1] > 60 && all[k + 1] < 100 && all[k + 2] > 40 && all[k + 2] < 80).length"
        page.wait_for_timeout(500)
        assert page.evaluate(drawn) > 40  # the lead arm, in its ink
        page.get_by_role("button", name="Strip of frames").click()
        page.locator("#film-strip button").nth(7).wait_for(timeout=120_000)
        page.screenshot(path=str(tmp_path / "film.png"), full_page=True)
        assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
        page.locator("#film-beside").select_option(f"{clip}-2")
        page.locator("#film-over").check()
        other = "[...document.querySelector('#film-picture').getContext('2d').getImageData(0, 0, 180, 320).data].filter((v, k, all) => k % 4 === 0 && v > 140 && v < 165 && all[k + 1] > 45 && all[k + 1] < 60 && all[k + 2] < 25).length"
        until(page, f"{other} > 40")  # the body of the other swing, in the other ink
        page.locator("#film-bare").check()
        until(page, "document.querySelector('#film-picture').getContext('2d').getImageData(5, 5, 1, 1).data[1] > 250")
        with page.expect_download() as sent:  # without a face nobody has to agree
            page.get_by_role("button", name="Make the picture").click()
        assert Path(sent.value.path()).read_bytes().startswith(b"\x89PNG")
        page.locator("#film-bare").uncheck()
        page.get_by_role("button", name="This is: chest").click()
        page.get_by_role("button", name="Undo: chest at").wait_for()
        page.locator("#film.ready").wait_for()
        page.locator("#film-at").fill(str(top - 0.1))
        page.get_by_role("button", name="This is: top").click()
        page.get_by_text("corrected by hand (top").wait_for()
        page.locator("#film.ready").wait_for()
        page.locator("#film-swing").select_option("2")
        page.get_by_role("button", name="This is not a swing").click()
        page.get_by_role("button", name="Bring swing 2 back").wait_for()
        assert page.locator("#film-swing option").count() == 2
        page.get_by_role("button", name="Bring swing 2 back").click()
        page.locator("#film.ready").wait_for()
        assert page.locator("#film-swing option").count() == 3
        page.get_by_role("link", name="How good is the swing check").click()
        page.get_by_text("Swings found: 3; missed: 0").wait_for()
        page.get_by_label("three.webm").check()
        page.get_by_label("The players in the ticked clips").check()
        with page.expect_download() as taken:
            page.get_by_role("button", name="Make the file").click()
        told = json.loads(Path(taken.value.path()).read_text())["clips"][0]
        assert [list(one) for one in told["marked"]] == [["t_top_s", "near_s"], ["near_s"], ["near_s"]]
        assert "three" not in json.dumps(told)
        assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
        assert wrong == []
        browser.close()

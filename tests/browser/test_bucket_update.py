"""A new version on the server: a phone that holds the worker of an older one gets the new page at once, and keeps it
without a server."""

import re
import shutil
from pathlib import Path
from typing import Any

import pytest

import threequarter
from browser_support import ARGS, CHROMIUM, PHONE, Server
from bucket_support import WORKER_IS_ACTIVE, all_kept, begin, opened, type_in, until

OLD_WORKER = Path(__file__).parents[1] / "data" / "workers" / "first.js"


def release(folder: Path, name: str, worker: Path | None) -> Path:
    """The package as a release of its own, whose page says which one it is; returns the folder to import it from."""
    source = Path(threequarter.__file__).parent
    shutil.copytree(source, folder / "threequarter", ignore=shutil.ignore_patterns("*.tflite", "__pycache__"))
    static = folder / "threequarter" / "web" / "static"
    with (static / "bucket.js").open("a", encoding="utf-8") as script:
        script.write(f'document.documentElement.dataset.release = "{name}";\n')
    if worker:
        shutil.copyfile(worker, static / "sw.js")
        for shipped in re.findall(r"/static/([\w./]+)\?", worker.read_text(encoding="utf-8")):
            # that release shipped files that are gone by now, and its worker installs with all of them or not at all
            (static / shipped).touch()
    return folder


def test_a_phone_with_the_first_worker_ever_gets_the_new_page_and_keeps_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from playwright.sync_api import sync_playwright

    old = release(tmp_path / "old", "old", OLD_WORKER)
    new = release(tmp_path / "new", "new", None)
    newer = release(tmp_path / "newer", "newer", None)
    server = Server(tmp_path / "data")

    def serve(folder: Path) -> None:
        monkeypatch.setenv("PYTHONPATH", str(folder))
        server.start()

    def released(page: Any) -> str:
        return str(page.evaluate("document.documentElement.dataset.release"))

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=ARGS)
        context = browser.new_context(viewport=PHONE)
        page = context.new_page()
        serve(old)
        where = begin(page, server.address)
        until(page, WORKER_IS_ACTIVE)
        page.reload()
        until(page, "navigator.serviceWorker.controller !== null")
        assert released(page) == "old"
        for folder in (new, newer):
            server.kill()
            type_in(page, "41")
            serve(folder)
            opened(page, where)
            assert released(page) == folder.name
            all_kept(page, 1 if folder is new else 2)
            until(
                page,
                "navigator.serviceWorker.getRegistration().then((found) => !found.installing && !found.waiting && found.active !== null)",
            )
            until(
                page, "caches.keys().then((names) => names.filter((name) => name !== 'threequarter-seen').length === 1)"
            )
            opened(page, where)
        server.kill()
        context.set_offline(True)
        opened(page, where)
        assert released(page) == "newer"
        all_kept(page, 2)
        browser.close()


def test_an_open_page_says_that_a_newer_version_is_there_and_opens_it_with_every_ball(
    tmp_path: Path, browser: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    old, new = release(tmp_path / "old", "old", None), release(tmp_path / "new", "new", None)
    server = Server(tmp_path / "data")
    monkeypatch.setenv("PYTHONPATH", str(old))
    server.start()
    page = browser.new_context(viewport=PHONE).new_page()
    begin(page, server.address)
    page.get_by_text("Kept on this phone: works without a signal").wait_for()
    server.kill()
    type_in(page, "41", "42")
    monkeypatch.setenv("PYTHONPATH", str(new))
    server.start()
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    page.get_by_text("A newer version is here. Your balls stay on this phone.").wait_for()
    type_in(page, "43")
    page.get_by_role("button", name="Open it").click()
    until(page, "document.documentElement.dataset.release === 'new'")
    all_kept(page, 3)
    page.context.close()
    server.kill()

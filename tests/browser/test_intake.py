"""Files on their way in, in a real browser: pointing at columns is followed at once, and works without JavaScript
too."""

from pathlib import Path
from typing import Any

import pytest

from browser_support import PHONE, Server, broken_rules

pytestmark = pytest.mark.slow
TABLE = (
    "Wer;Womit;Wie;Zahl A;Zahl B\nAda Fen;54;Hüfte;86,4;-2,1\nAda Fen;54;Hüfte;84,0;1,0\nIvo Quill;58;Brust;60,5;0,5\n"
)
PLAIN = "Club,Swing,Carry (yd)\n50,waist,70.1\n50,waist,none\n"


def dropped(page: Any, server: Server, *files: Path) -> None:
    page.goto(server.address + "/bring-in")
    page.set_input_files("#file", [str(file) for file in files])
    page.click("#look button[type=submit]")
    page.wait_for_url("**/look*/*")


@pytest.mark.parametrize("scripts", [True, False])
def test_a_column_is_pointed_at_and_the_preview_follows(browser: Any, scripts: bool, tmp_path: Path) -> None:
    (tmp_path / "x.csv").write_text(TABLE, encoding="utf-8")
    with Server(tmp_path / "data") as server:
        page = browser.new_context(viewport=PHONE, java_script_enabled=scripts).new_page()
        page.set_default_timeout(120_000)
        dropped(page, server, tmp_path / "x.csv")
        for column, role in ((1, "player"), (2, "club"), (3, "swing"), (4, "carry"), (5, "offline")):
            choices = [one.get_attribute("value") for one in page.locator(f"#as-{column} option").all()]
            if role not in choices:  # it was found by itself
                continue
            if scripts:
                page.evaluate(f"document.querySelector('#as-{column}').dataset.old = 'yes'")
            page.select_option(f"#as-{column}", index=choices.index(role))
            if scripts:  # what was chosen stands in the page that came back, which is another one
                page.wait_for_selector(f"#as-{column}:not([data-old])")
                assert f"as-{column}={role}" in page.url
        if scripts:
            page.select_option("#c-unit", "m")
        else:
            page.select_option("#c-unit", "m")
            page.click("text=Read it again")
        page.wait_for_selector("text=86,4 → 86.4 m")
        if scripts:
            assert broken_rules(page) == []
            assert page.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
        page.click("form.keep button")
        page.wait_for_selector("text=Added: 3 balls")
        page.click("text=Undo the whole import")
        page.wait_for_selector("text=were undone")


def test_several_files_and_what_is_too_large(browser: Any, tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text(PLAIN)
    (tmp_path / "b.csv").write_text(PLAIN.replace("70.1", "60.2"))
    (tmp_path / "big.csv").write_bytes(b"x" * (31 * 2**20))
    (tmp_path / "middle.csv").write_text(PLAIN + "50,waist,71.5\n" * 60_000)
    with Server(tmp_path / "data") as server:
        page = browser.new_page(viewport=PHONE)
        page.set_default_timeout(120_000)
        dropped(page, server, tmp_path / "a.csv", tmp_path / "b.csv")
        assert page.locator("text=60.2 →").count() == 1
        assert broken_rules(page) == []
        page.click("form.keep > button")
        page.wait_for_selector("text=Added: 2 balls")
        page.goto(f"{server.address}/bring-in")
        page.set_input_files("#file", str(tmp_path / "big.csv"))
        page.click("#look button[type=submit]")
        page.wait_for_selector("text=the limit is 30 MB at once")
        dropped(page, server, tmp_path / "middle.csv")  # large enough for the bar; it ends on the page of the file
        page.wait_for_selector("h1")

"""Charts of all days are computed beside a server: a page that comes sooner says so, what was written is ready before anybody asks."""

import re
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.web.claims import HOST, Walk, begin, hit, shots

from threequarter.app import charts_ahead, kept_charts
from threequarter.app.standing import standing_chart
from threequarter.app.warm_up import WarmUp
from threequarter.golf.player import name_key
from threequarter.store.balls.touched import Look, look, touched
from threequarter.store.imports.save_import import now_utc
from threequarter.store.store import Store
from threequarter.web.app import make_app
from web_support import inner_of

PLAYER = "/players/Ada Quill"
BROWSER = {"accept": "text/html"}


@pytest.fixture(scope="module")
def walk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Walk]:
    """A server whose warm-up goes round only when it is told to, and a player of two days."""
    folder = tmp_path_factory.mktemp("ahead")
    app = make_app(folder, frozenset({HOST}), charts_ahead=True)
    warm: WarmUp = inner_of(app).state.warm_up
    with pytest.MonkeyPatch.context() as patch, TestClient(app, base_url=f"http://{HOST}") as client:
        patch.setattr(charts_ahead, "A_MOMENT_S", 0.0)
        warm._over.set()
        made = Walk(client=client, folder=folder, days={}, told=[], keys={})
        for number, held_on in enumerate(("2026-04-18", "2026-06-20")):
            day = begin(made, "Ada Quill", clubs="50, 54", swings="waist", held_on=held_on)
            hit(made, day, shots(6 + number, ["50", "54"], ["waist"], 6))
        yield made


def kept(walk: Walk) -> bool:
    with Store(walk.folder) as store:
        return kept_charts.kept(walk.folder, *store.revisions(["Ada Quill"])[name_key("Ada Quill")])


def test_a_page_that_comes_sooner_says_that_it_computes_and_opens_by_itself(walk: Walk) -> None:
    first = walk.client.get(PLAYER, headers=BROWSER)
    assert (first.status_code, first.headers["refresh"]) == (202, "1")
    assert "It will open here by itself." in first.text
    part = walk.client.get(f"{PLAYER}/yards", headers={"hx-request": "true"})
    assert (part.status_code, "<svg" in part.text) == (200, False)
    assert 'hx-trigger="load delay:2s"' in part.text
    waited = walk.client.get(f"/sessions/{next(iter(walk.days))}/card.pdf")  # a program waits for what it asked for
    assert waited.content.startswith(b"%PDF")
    page = walk.client.get(PLAYER, headers=BROWSER)
    assert page.status_code == 200
    assert "refresh" not in page.headers
    assert "<svg" in walk.client.get(f"{PLAYER}/yards", headers={"hx-request": "true"}).text
    with Store(walk.folder) as store:
        found = standing_chart(store, "Ada Quill")
    assert found is not None
    for cell in found.chart.cells:
        assert re.search(rf"<strong>{round(cell.stock_carry_m / 0.9144)}</strong>", page.text)


def test_what_was_kept_or_taken_back_is_computed_before_anybody_asks_and_nothing_where_nothing_changed(
    walk: Walk,
) -> None:
    warm: WarmUp = inner_of(walk.client.app).state.warm_up
    warm._over.clear()
    warm.round()
    day = begin(walk, "Ada Quill", clubs="50, 54", swings="waist", held_on="2026-06-21")
    hit(walk, day, shots(8, ["54"], ["waist"], 3))
    assert not kept(walk)
    warm.round()  # balls may still be coming
    assert not kept(walk)
    warm.round()
    assert kept(walk)
    assert walk.client.get(PLAYER, headers=BROWSER).status_code == 200
    written = {path: path.stat().st_mtime_ns for path in (walk.folder / "answers").iterdir()}
    warm.round()
    assert written == {path: path.stat().st_mtime_ns for path in (walk.folder / "answers").iterdir()}
    walk.client.post(f"/sessions/{day}/weather", data={"temp_c": "9"}, follow_redirects=False)
    assert not kept(walk)
    warm.round()
    warm.round()
    assert kept(walk)
    warm._over.set()


def test_a_chart_is_made_though_the_process_for_it_is_killed(walk: Walk) -> None:
    ahead = inner_of(walk.client.app).state.warm_up.ahead
    begun = begin(walk, "Ada Quill", clubs="50, 54", swings="waist", held_on="2026-06-22")
    hit(walk, begun, shots(9, ["54"], ["waist"], 3))
    assert ahead._process is not None
    for child in ahead._process._processes.values():
        child.kill()
    assert walk.client.get(PLAYER, headers=BROWSER).status_code == 202
    until = time.monotonic() + 60
    while walk.client.get(PLAYER, headers=BROWSER).status_code != 200:
        assert time.monotonic() < until
        time.sleep(0.2)


def test_who_was_touched_is_found_without_looking_through_all(tmp_path: Path) -> None:
    app = make_app(tmp_path, frozenset({HOST}))
    store: Store = inner_of(app).state.store

    def since(before: Look) -> set[str]:
        with store.reading() as session:
            return {name for _number, name in touched(session, before, 40)}

    def now() -> Look:
        with store.reading() as session:
            return look(session, now_utc())

    with TestClient(app, base_url=f"http://{HOST}") as client:
        made = Walk(client=client, folder=tmp_path, days={}, told=[], keys={})
        begin(made, "Nobody Else")
        days = [begin(made, "Bo Fenn") for _day in range(2)]
        before = now()
        assert since(before) == set()
        hit(made, days[0], shots(1, ["54"], ["waist"], 3))
        assert since(before) == {"Bo Fenn"}
        for act in (
            lambda: client.post(f"/sessions/{days[0]}/about", data={"held_on": "2026-05-01"}),
            lambda: client.post(f"/sessions/{days[1]}/join", data={"other": str(days[0])}),
            lambda: store.leave_out(store.kept_balls(days[1])[0].id, "left out by hand"),
        ):
            before = now()
            act()
            assert since(before) == {"Bo Fenn"}

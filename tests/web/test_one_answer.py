"""The same question gets the same answer wherever it is asked: stores are walked, claims gathered, differences are failures."""

import re
from collections import Counter, defaultdict
from pathlib import Path

import pytest
from tests.web.claims import QUICK, STORES, Claim, claims, contradictions, walked
from tests.web.claims_elsewhere import elsewhere
from tests.web.claims_of_uses import uses

pytestmark = pytest.mark.slow

LEAST = {"enough": 3, "date": 2}
"""So many places at least must have answered, or the walk has gone blind."""


@pytest.mark.parametrize("name", QUICK)
def test_no_two_places_say_different_things(name: str, tmp_path: Path) -> None:
    walk = walked(tmp_path)
    with walk.client:
        STORES[name](walk)
        found = list(claims(walk))
    places: Counter[tuple[str, str]] = Counter((claim.about, claim.of) for claim in found)
    for about, least in LEAST.items():
        assert max(count for (one, _of), count in places.items() if one == about) >= least
    assert contradictions(found) == []


@pytest.mark.parametrize("name", ["two days", "many mishits", "typed in yards, read in metres"])
def test_commands_prints_and_the_interface_say_what_the_pages_say(name: str, tmp_path: Path) -> None:
    walk = walked(tmp_path)
    with walk.client:
        STORES[name](walk)
        asked_elsewhere = list(elsewhere(walk))
        found = [*claims(walk), *asked_elsewhere]
    places = {claim.where.partition(",")[0] for claim in asked_elsewhere}
    assert places >= {
        "command chart",
        "command next",
        "interface",
        "lesson",
        "card",
        "page to take home",
        "player page",
    }
    about = Counter(re.sub(r" of .*", "", claim.about) for claim in asked_elsewhere)
    assert min(about[kind] for kind in ("carry", "±", "range", "balls", "mishits counted", "enough", "gaps")) >= 3
    assert contradictions(found) == []


@pytest.mark.parametrize("name", ["two days", "a clinic"])
def test_what_is_made_of_a_chart_is_the_same_on_pages_prints_and_by_commands(name: str, tmp_path: Path) -> None:
    walk = walked(tmp_path)
    with walk.client:
        STORES[name](walk)
        made = list(uses(walk))
        found = [*claims(walk), *made]
    places = defaultdict(set)
    for claim in made:
        places[re.sub(r" (of|to|from) .*", "", claim.about), claim.of].add(claim.where)
    asked = (
        "best shot",
        "on the green",
        "carry",
        "numbers called",
        "wedges in the bag now",
        "day card",
        "balls charted",
    )
    charts = {claim.of for claim in made if claim.about == "numbers called"}
    assert len(charts) == 3
    for about in asked:
        assert all(len(places[about, of]) >= 2 for of in charts), (about, places)
    for about in (
        "spread",
        "strokes",
    ):  # told with one digit more by commands: what lies between two roundings is left out
        assert any(len(places[about, of]) == 2 for of in charts)
    whole = {claim.where for claim in made if claim.about == "moved or not"}
    assert whole == ({"command recheck", "command chart"} if name == "two days" else set())
    assert any(claim.where == "print of the clinic" for claim in made) is (name == "a clinic")
    assert contradictions(found) == []


def test_what_is_shown_of_each_kind_is_found(tmp_path: Path) -> None:
    """Two days and swings on film have the claims that only they can have."""
    walk = walked(tmp_path)
    with walk.client:
        STORES["half a plan"](walk)
        STORES["two days"](walk)
        STORES["filmed"](walk)
        about = Counter(claim.about for claim in claims(walk))
    assert about["moved or not"] >= 4
    assert about["match"] >= 3
    assert about["next"] + about["balls to go"] >= 4
    assert sum(count for one, count in about.items() if one.startswith("carry of")) >= 20


def test_two_answers_to_one_question_are_told() -> None:
    same = [Claim("enough", "day 1", where, "yes") for where in ("keys", "chart page")]
    assert contradictions(same) == []
    assert contradictions([*same, Claim("enough", "day 1", "card", "no")]) == [
        "enough (day 1): 'yes' on chart page, keys; 'no' on card"
    ]


def test_a_change_of_air_alone_is_no_change_of_the_player(tmp_path: Path) -> None:
    """A cold day against a warm one: brought to one air, the newest day is told nearer to no change than as it flew."""
    told = []
    for weather in ({}, {"temp_c": "2", "altitude_m": "0"}):
        walk = walked(tmp_path / str(len(told)))
        with walk.client:
            STORES["two days"](walk)
            walk.client.post("/sessions/1/weather", data={"temp_c": "2", "altitude_m": "0"})
            walk.client.post("/sessions/2/weather", data=weather or {"temp_c": "35", "altitude_m": "1500"})
            page = walk.text("/sessions/2/recheck")
        found = re.search(r"([+−]\d+) % ± \d+ %", page)
        assert found, page
        told.append(int(found[1].replace("−", "-")))
    assert told[0] < told[1]

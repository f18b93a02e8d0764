"""The demo tells one story, whoever is asked."""

from pathlib import Path

import pytest

from threequarter.app.demo import keep_demo, keep_demo_film
from threequarter.app.standing import standing_chart
from threequarter.cli.demo import _three_days
from threequarter.demo import LATER
from threequarter.golf.errors import UserError
from threequarter.practice.pooled import pool
from threequarter.practice.standing import recheck_newest
from threequarter.store.clips.clips import Clips
from threequarter.store.store import Store


def test_the_command_and_the_pages_make_the_same_chart_of_the_demo_and_judge_it_alike(tmp_path: Path) -> None:
    days, made, _said = _three_days()
    with Store(tmp_path) as store:
        kept = standing_chart(store, keep_demo(store))
    assert kept is not None
    assert kept.recheck is not None
    assert kept.chart.cells == pool(days).chart.cells
    assert kept.recheck.found == recheck_newest(days)
    assert [(info.held_on, facts.ball_kind, weather) for info, facts, weather in kept.made] == [
        (hit.held_on, facts.ball_kind, weather) for hit, facts, weather in made
    ]


def test_nothing_is_doubted_of_the_demo_that_is_as_it_should_be(tmp_path: Path) -> None:
    with Store(tmp_path) as store:
        kept = standing_chart(store, keep_demo(store))
    assert kept is not None
    doubts = [one.code for one in (*kept.chart.checks, *kept.chart.notes) if one.code.startswith("chart.check.")]
    assert doubts == []


def test_the_lesson_has_a_film_that_is_kept_once_when_asked_for(tmp_path: Path) -> None:
    with Store(tmp_path) as store:
        keep_demo(store)
        assert Clips(store).unfinished() == []
        number = keep_demo_film(store)
        clip = Clips(store).clip(number)
        assert (store.facts(clip.session_id or 0).held_on, clip.state) == (LATER[0].held_on, "waiting")
        assert Clips(store).agreed(clip.session_id)
        assert keep_demo_film(store) == number


def test_without_the_demo_there_is_no_film_to_keep(tmp_path: Path) -> None:
    with Store(tmp_path) as store, pytest.raises(UserError, match="Open the demo first"):
        keep_demo_film(store)

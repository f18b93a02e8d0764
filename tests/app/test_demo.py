"""The demo tells one story, whoever is asked."""

from pathlib import Path

from threequarter.app.demo import keep_demo
from threequarter.app.standing import standing_chart
from threequarter.cli.demo import _three_days
from threequarter.demo import LATER
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


def test_the_lesson_has_its_film_where_somebody_can_measure_it(tmp_path: Path) -> None:
    asked: list[int] = []
    with Store(tmp_path) as store:
        keep_demo(store, asked.append)
        kept = [Clips(store).clip(number) for number in asked]
        lesson = LATER[0]
        assert [(store.facts(clip.session_id or 0).held_on, clip.state) for clip in kept] == [
            (lesson.held_on, "waiting")
        ]
        assert Clips(store).agreed(kept[0].session_id)
        keep_demo(store, asked.append)
    assert len(asked) == 1


def test_no_film_waits_for_good_where_nobody_can_measure_it(tmp_path: Path) -> None:
    with Store(tmp_path) as store:
        keep_demo(store)
        assert Clips(store).unfinished() == []

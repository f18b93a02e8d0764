"""The demo tells one story, whoever is asked."""

from pathlib import Path

from threequarter.app.demo import keep_demo
from threequarter.app.standing import standing_chart
from threequarter.cli.demo import _three_days
from threequarter.practice.pooled import pool
from threequarter.practice.standing import recheck_newest
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

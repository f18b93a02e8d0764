"""The chart against known truth. The sessions are simulated: the figures show arithmetic, not golfers."""

import csv
import json
from dataclasses import replace
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest
from benchmarks.worlds.old import KINDS, Kind, simulate
from hypothesis import given, settings
from hypothesis import strategies as st

from tests_support import load_module
from threequarter.answers.chart import chart_answer
from threequarter.chart import next_ball
from threequarter.chart.fit import fit_chart
from threequarter.chart.result import Chart
from threequarter.golf.ball import Ball, MeasuredAs, MeasuredBy, Strike
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.golf.units import YARD_M
from threequarter.intake.load import carries
from threequarter.intake.options import ReadOptions

SESSIONS = Path(__file__).parents[1] / "data" / "sessions"


def ball(number: int, carry_yd: float, club: str = "54", swing: str = "waist", **more: Any) -> Ball:
    return Ball(
        number=number,
        club=club,
        swing=swing,
        loft_deg=float(club) if club.isdigit() else None,
        distance_m=carry_yd * YARD_M,
        **more,
    )


@pytest.fixture(scope="module")
def scorer() -> ModuleType:
    return load_module("session_score", SESSIONS / "score.py")


@pytest.fixture(scope="module")
def answers() -> dict[str, dict[str, Any]]:
    found = {}
    for path in sorted((SESSIONS / "csv").glob("*.csv")):
        balls, unit, _ = carries(path, ReadOptions(columns={"carry": "carry_yd"}))
        assert unit == "yd"
        found[path.stem] = chart_answer(fit_chart(balls), unit)
    return found


def summary(scorer: ModuleType, answers: dict[str, Any]) -> dict[str, float]:
    truths = {path.stem: json.loads(path.read_text()) for path in sorted((SESSIONS / "truth").glob("*.json"))}
    records = [scorer.one(answers.get(name, {}), truth) for name, truth in truths.items()]
    result: dict[str, float] = scorer.summarise(records)
    return result


def test_open_sessions_come_out_near_the_exact_posterior(scorer: ModuleType, answers: dict[str, Any]) -> None:
    """Independent: reference.json is the exact posterior (NUTS) of another model; 40 sessions leave 3 % of chance.

    Only 14 cells there were never hit: their error is judged on more sessions by benchmarks/chart_calibration.py."""
    ours, reference = summary(scorer, answers), summary(scorer, json.loads((SESSIONS / "reference.json").read_text()))
    assert ours["no_answer"] == 0
    assert ours["rmse"] <= 1.05 * reference["rmse"]
    assert ours["unhit_cover"] >= 85
    assert 88 <= ours["cover"] <= 93
    assert 88 <= ours["next_cover"] <= 93
    assert ours["f1"] >= 0.62


def test_a_chart_beats_the_mean_of_the_cell(scorer: ModuleType, answers: dict[str, Any]) -> None:
    truths = {path.stem: json.loads(path.read_text()) for path in sorted((SESSIONS / "truth").glob("*.json"))}
    naive = {name: scorer.naive(SESSIONS, name, truth, "screen") for name, truth in truths.items()}
    assert summary(scorer, answers)["rmse"] < 0.6 * summary(scorer, naive)["rmse"]


@pytest.mark.parametrize("kind", KINDS)
def test_players_of_every_kind_get_a_whole_chart(kind: Kind) -> None:
    session = simulate(np.random.default_rng(3), kind, 5)
    chart = fit_chart(session.balls, also=[(cell.club, cell.swing) for cell in session.cells])
    assert len(chart.cells) == len(session.cells)
    whole(chart)


def whole(chart: Chart) -> None:
    """Every number is there and in order."""
    assert np.isfinite(chart.draws_log_carry).all()
    assert np.isfinite(chart.draws_log_sd).all()
    for cell in chart.cells:
        assert 0 < cell.stock90_m.low < cell.stock_carry_m < cell.stock90_m.high
        assert cell.next90_m.low < cell.stock_carry_m < cell.next90_m.high
        assert cell.good_sd_m > 0
        assert 0 <= cell.mishit_rate90.low <= cell.mishit_rate <= cell.mishit_rate90.high <= 0.56
    for verdict in chart.verdicts:
        assert verdict.good + verdict.fat + verdict.thin + verdict.toe == pytest.approx(1)


@settings(max_examples=25, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(["46", "54", "60", "PW"]),
            st.sampled_from(["waist", "full", "9:00", "whisper"]),
            st.floats(3, 190),
        ),
        min_size=1,
        max_size=25,
    )
)
def test_no_bucket_breaks_the_chart(rows: list[tuple[str, str, float]]) -> None:
    whole(fit_chart([ball(i, carry, club, swing) for i, (club, swing, carry) in enumerate(rows, start=1)]))


def test_one_ball_gives_a_wide_chart() -> None:
    cell = fit_chart([ball(1, 50)]).cells[0]
    assert 42 < cell.stock_carry_m / YARD_M < 58
    assert cell.stock90_m.half / YARD_M > 3


def test_all_mishits_still_give_a_chart() -> None:
    chart = fit_chart([ball(i, carry, strike=Strike.FAT) for i, carry in enumerate([30, 25, 36, 28], start=1)])
    whole(chart)
    assert all(verdict.mishit for verdict in chart.verdicts)
    assert chart.cells[0].stock_carry_m / YARD_M > 31


def test_a_child_who_carries_the_54_forty_yards_gets_forty() -> None:
    rng = np.random.default_rng(4)
    chart = fit_chart([ball(i, 40 * np.exp(0.06 * rng.normal()), swing="full") for i in range(1, 11)])
    assert chart.cells[0].stock_carry_m / YARD_M == pytest.approx(40, abs=2.5)


def test_two_chunked_balls_do_not_shorten_the_stock_carry() -> None:
    good = [52.0, 53, 51, 54, 52, 53, 51, 52]
    with_chunks = [ball(i, carry) for i, carry in enumerate([*good, 31, 28], start=1)]
    chart = fit_chart(with_chunks)
    assert chart.cells[0].stock_carry_m / YARD_M == pytest.approx(52.3, abs=0.8)
    assert [verdict.number for verdict in chart.verdicts if verdict.mishit] == [9, 10]
    assert chart.cells[0].balls == 10


def test_a_heavy_but_usable_strike_counts_and_is_known_for_what_it_is() -> None:
    balls = [ball(i, carry) for i, carry in enumerate([52.0, 53, 51, 54, 52], start=1)]
    chart = fit_chart([*balls, ball(6, 47, strike=Strike.HEAVY)])
    assert chart.verdicts[5].heavy
    assert not chart.verdicts[5].mishit


def test_ten_identical_values_are_one_reading_of_a_pile() -> None:
    cell = fit_chart([ball(i, 44) for i in range(1, 11)]).cells[0]
    assert (cell.balls, cell.readings) == (10, 1)
    assert cell.stock90_m.half / YARD_M > 1.2


def test_a_mirrored_player_gets_the_same_chart() -> None:
    session = simulate(np.random.default_rng(8), "plain", 5)
    mirrored = [replace(b, offline_m=None if b.offline_m is None else -b.offline_m) for b in session.balls]
    for one, two in zip(fit_chart(session.balls).cells, fit_chart(mirrored).cells, strict=True):
        assert one.stock_carry_m == pytest.approx(two.stock_carry_m, rel=1e-3)


def test_a_club_without_a_loft_is_said() -> None:
    chart = fit_chart([ball(1, 80, club="PW"), ball(2, 81, club="PW")])
    assert any(note == Message("chart.no_loft", clubs=("PW",)) for note in chart.notes)


def test_two_swings_under_one_name_are_found_and_said() -> None:
    rng = np.random.default_rng(11)
    session = simulate(rng, "two_swings", 20, gap_spreads=4.5)
    chart = fit_chart(session.balls)
    true = {(cell.club, cell.swing) for cell in session.cells if cell.second_m}
    found = {(cell.club, cell.swing) for cell in chart.cells if cell.two_swings_m}
    assert found & true
    assert not found - true


def test_the_usual_shares_of_a_full_swing_agree_with_a_chart_of_few_balls() -> None:
    """Common practice, no source: waist about half of a full carry, chest about 0.6, shoulder a little under 0.8."""
    usual = {"waist": 51.0, "chest": 62.0, "shoulder": 79.0, "full": 102.0}
    balls = [ball(i, carry, "52", swing) for i, (swing, carry) in enumerate([*usual.items()] * 3, start=1)]
    chart = fit_chart([b for k, b in enumerate(balls) if k != 2])
    for cell in chart.cells:
        assert cell.stock90_m.low <= usual[cell.swing] * YARD_M <= cell.stock90_m.high


def test_nothing_to_chart_is_said() -> None:
    with pytest.raises(UserError, match=r"chart\.no_ball"):
        fit_chart([ball(1, 50, use=False)])
    with pytest.raises(UserError, match=r"chart\.carry\("):
        fit_chart([ball(1, 1000)])


def test_the_open_files_have_the_columns_the_contract_names() -> None:
    with (SESSIONS / "csv" / "s001.csv").open() as file:
        assert next(csv.reader(file))[:6] == ["ball", "day", "club", "loft_deg", "swing", "carry_yd"]


def test_an_error_that_all_balls_share_widens_the_chart_and_no_ball_lowers_it() -> None:
    rng = np.random.default_rng(12)
    sure = [ball(i, 50 * float(np.exp(0.05 * rng.normal()))) for i in range(1, 41)]
    paced = [replace(b, shared_sd_m=0.04 * b.distance_m) for b in sure]
    one, two = fit_chart(sure), fit_chart(paced)
    assert two.cells[0].stock_carry_m == pytest.approx(one.cells[0].stock_carry_m, rel=0.005)
    relative = two.cells[0].stock90_m.half / two.cells[0].stock_carry_m
    assert relative == pytest.approx(
        1.645 * np.hypot(one.cells[0].stock90_m.half / one.cells[0].stock_carry_m / 1.645, 0.04), rel=0.05
    )
    assert any(note.code == "chart.shared_error" for note in two.notes)
    advice = next_ball.advise(two)
    assert not advice.stop
    assert advice.suggestions[0].expected_halfwidth_after_m > 0.9 * 1.645 * 0.04 * two.cells[0].stock_carry_m
    assert advice.endless or advice.messages[0].code == "advice.next"


def test_launch_and_spin_tell_mishits_that_the_carry_does_not() -> None:
    def found(launch: bool) -> tuple[int, int, int, float]:
        hit = called = there = 0
        errors = []
        for seed in range(12):
            session = simulate(np.random.default_rng(seed), "plain", 8, launch=True)
            plain = [replace(b, launch_deg=None, backspin_rpm=None) for b in session.balls]
            chart = fit_chart(session.balls if launch else plain)
            named = {verdict.number for verdict in chart.verdicts if verdict.mishit}
            hit, called, there = hit + len(named & session.mishits), called + len(named), there + len(session.mishits)
            errors += [
                np.log(cell.stock_carry_m / true.stock_m) for cell, true in zip(chart.cells, session.cells, strict=True)
            ]
        return hit, called, there, float(np.sqrt(np.mean(np.square(errors))))

    (hit, called, there, error), (bare_hit, bare_called, _, bare_error) = found(True), found(False)
    assert 2 * hit / (called + there) > 2 * bare_hit / (bare_called + there) + 0.1
    assert error < bare_error


def test_a_launch_angle_misread_alone_does_not_make_a_mishit() -> None:
    balls = [ball(i + 1, 50 + (i % 5) - 2.0, launch_deg=30.0 + i % 3, backspin_rpm=6000.0 + 50 * i) for i in range(20)]
    balls[7] = replace(balls[7], backspin_rpm=9800.0)
    assert not fit_chart(balls).verdicts[7].mishit


def test_a_chart_of_several_players_warns_that_it_is_nobody_s() -> None:
    def of(*players: str | None) -> tuple[Message, ...]:
        balls = [
            Ball(
                number=i,
                club="54",
                swing="waist",
                distance_m=40 + i,
                measured_by=MeasuredBy.DEVICE,
                measured_as=MeasuredAs.CARRY,
                offline_m=None,
                strike=None,
                rounding_m=None,
                player=player,
            )
            for i, player in enumerate(players, start=1)
        ]
        return fit_chart(balls).notes

    assert of("Wren Sedge", "Ivo Quill", None)[0] == Message(
        "chart.few_players", count=2, names=("Wren Sedge", "Ivo Quill")
    )
    assert not any("players" in note.code for note in of("Wren Sedge", "wren  sedge", None))

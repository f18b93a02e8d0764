"""The chart says where balls and chart disagree; simulated players with one fault each."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from threequarter.chart.fit import fit_chart
from threequarter.golf.ball import Ball, Strike
from threequarter.language import say
from threequarter.language.texts import TEXTS

SHARES = {"waist": 0.5, "chest": 0.62, "shoulder": 0.78, "full": 1.0}


def session(seed: int, rounds: int = 1, each: int = 10, spread: float = 0.055) -> list[Ball]:
    """Three wedges, four swings, balls in `rounds` rounds of blocks; no mishits."""
    rng = np.random.default_rng(seed)
    balls: list[Ball] = []
    for _ in range(rounds):
        for loft in (50, 54, 58):
            for swing, share in SHARES.items():
                for _ball in range(each // rounds):
                    carry = 75 * share * np.exp(-0.03 * (loft - 54) + spread * rng.standard_normal())
                    balls.append(
                        Ball(
                            number=len(balls) + 1,
                            club=str(loft),
                            loft_deg=float(loft),
                            swing=swing,
                            distance_m=float(carry),
                        )
                    )
    return balls


def odd(balls: list[Ball], club: str, swing: str, factor: float) -> list[Ball]:
    return [replace(b, distance_m=b.distance_m * factor) if (b.club, b.swing) == (club, swing) else b for b in balls]


def test_a_cell_far_off_the_line_is_shown_as_hit_and_said() -> None:
    """Ten balls of a chest swing that carries as far as a full one: the chart goes by the balls."""
    balls = odd(session(1), "54", "chest", 1.3)
    chart = fit_chart(balls)
    cell = chart.cell("54", "chest")
    true = 75 * 0.62 * 1.3
    assert cell.as_hit
    assert cell.disagree_chance > 0.8
    assert cell.stock90_m.low < true < cell.stock90_m.high
    assert cell.told[0].code == "chart.cell.as_hit"
    assert [check.code for check in chart.checks] == ["chart.check.cell"]
    assert "54 chest does not fit the other shots" in say(chart.checks[0])
    for other in chart.cells:
        if other is not cell:
            assert not other.as_hit


@pytest.mark.parametrize("seed", [2, 3, 4])
def test_an_even_session_fails_no_check(seed: int) -> None:
    chart = fit_chart(session(seed))
    assert chart.checks == ()
    assert not any(cell.as_hit for cell in chart.cells)


def test_tiredness_is_told_where_the_shots_come_round_twice_and_not_in_single_blocks() -> None:
    def tired(balls: list[Ball]) -> list[Ball]:
        return [replace(b, distance_m=b.distance_m * float(np.exp(-0.10 * i / 120))) for i, b in enumerate(balls)]

    twice, once = fit_chart(tired(session(5, rounds=5))), fit_chart(tired(session(5)))
    assert twice.drift90 is not None
    assert twice.drift90.high < 0
    assert any(note.code == "chart.shorter" for note in twice.notes)
    assert once.drift90 is None
    assert any(note.code == "chart.blocks" for note in once.notes)


def test_a_club_that_is_struck_worse_has_its_own_rate_and_spread() -> None:
    rng = np.random.default_rng(6)
    balls = [
        replace(b, distance_m=b.distance_m * (0.65 if b.club == "58" and rng.random() < 0.4 else 1.0))
        for b in session(6)
    ]
    chart = fit_chart(balls)
    assert chart.cell("58", "full").mishit_rate > chart.cell("50", "full").mishit_rate + 0.1
    wild = [
        replace(b, distance_m=b.distance_m * float(np.exp(0.10 * rng.standard_normal()))) if b.club == "50" else b
        for b in session(7)
    ]
    chart = fit_chart(wild)
    relative = {
        club: chart.cell(club, "full").good_sd_m / chart.cell(club, "full").stock_carry_m for club in chart.clubs
    }
    assert relative["50"] > 1.3 * relative["58"]


def test_a_device_that_drops_short_balls_is_asked_for() -> None:
    """One ball in three fat, a third or so shorter, and the device shows nothing under 40 m."""
    rng = np.random.default_rng(12)
    fat = [replace(b, distance_m=b.distance_m * (0.7 if rng.random() < 0.35 else 1.0)) for b in session(12)]
    seen = [replace(b, number=i) for i, b in enumerate([b for b in fat if b.distance_m > 40], start=1)]

    def cut(balls: list[Ball]) -> bool:
        chart = fit_chart(balls)
        return any(message.code == "chart.check.cut" for message in (*chart.checks, *chart.notes))

    assert cut(seen)
    assert not cut(fat)


def test_a_third_of_the_balls_in_another_unit_is_asked_for() -> None:
    """A steady player whose last third was typed in metres as yards: those balls lie at 0.914."""
    balls = session(13, rounds=2, spread=0.04)
    mixed = [replace(b, distance_m=b.distance_m * (0.9144 if b.number > 80 else 1.0)) for b in balls]

    def unit(balls: list[Ball]) -> bool:
        chart = fit_chart(balls)
        return any(message.code == "chart.check.unit_short" for message in (*chart.checks, *chart.notes))

    assert unit(mixed)
    assert not unit(balls)


def test_another_day_is_wider_than_the_day_of_the_balls() -> None:
    for cell in fit_chart(session(8)).cells:
        assert cell.another_day90_m.half > cell.stock90_m.half
        assert cell.next_another_day90_m.half > cell.next90_m.half


def test_whoever_was_warm_is_not_said_to_start_short() -> None:
    balls = session(9, each=2)
    cold, warm = fit_chart(balls, warm=False), fit_chart(balls, warm=True)
    assert cold.cells[0].stock_carry_m > warm.cells[0].stock_carry_m


def test_a_mishit_says_what_speaks_against_it_and_a_note_goes_before_the_chart() -> None:
    balls = session(10)
    balls[5] = replace(balls[5], distance_m=balls[5].distance_m * 0.6)
    balls[46] = replace(balls[46], distance_m=balls[46].distance_m * 0.8, strike=Strike.GOOD)
    verdicts = fit_chart(balls).verdicts
    assert verdicts[5].sign == "called"
    assert verdicts[5].why[0].code == "chart.why.short"
    assert (verdicts[46].sign, verdicts[46].noted) == ("good", "good")


def test_the_same_balls_give_the_same_chart() -> None:
    one, two = fit_chart(session(11)), fit_chart(session(11))
    assert np.array_equal(one.draws_log_carry, two.draws_log_carry)
    assert one.cells == two.cells


def test_every_message_of_the_chart_has_words() -> None:
    for code, text in TEXTS.items():
        if code.startswith("chart."):
            assert text, code
    assert all(a != b for a, b in pairwise(sorted(TEXTS)))


def test_clock_swings_whose_law_bends_are_no_other_unit() -> None:
    """The 1.25th power of the arm's angle: short swings lie far below the usual share, long ones above, and nothing is in metres."""
    shares = {"8:00": (60, 4), "9:00": (90, 4), "10:00": (120, 4), "11:00": (150, 4), "12:00": (180, 4)}
    rng = np.random.default_rng(4)
    balls = [
        Ball(
            number=1,
            club=str(loft),
            loft_deg=float(loft),
            swing=swing,
            distance_m=75 * (degrees / 180) ** 1.25 * np.exp(-0.026 * (loft - 54) + 0.05 * rng.standard_normal()),
        )
        for loft in (50, 54, 58)
        for swing, (degrees, each) in shares.items()
        for _ball in range(each)
    ]
    chart = fit_chart([replace(ball, number=i) for i, ball in enumerate(balls, start=1)])
    said = {message.code for message in (*chart.checks, *chart.notes)}
    assert said.isdisjoint({"chart.check.unit_short", "chart.check.unit_long"})

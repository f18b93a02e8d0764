"""The made-up players are as their laws say, the same on every run, and a judge who is shown the truth calls it true."""

import csv
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from benchmarks.worlds import judge
from benchmarks.worlds.judge_table import report
from benchmarks.worlds.players import half, make, play, rng_of
from benchmarks.worlds.players_hit import Player
from benchmarks.worlds.players_kinds import HEAVY_TAILS, KINDS, LONG, SHORT
from benchmarks.worlds.players_law import REAL_SHAPE, World, draw_law, strikes
from benchmarks.worlds.players_truth import QUANTILES, YARD_M, Session, write_csv
from benchmarks.worlds.real_balls import CLEAR_OF_CUT, draw, judge_real, read_groups
from benchmarks.worlds.real_balls import Said as RealSaid
from scipy.stats import kurtosis, skew

pytestmark = pytest.mark.slow


def test_every_kind_plays_and_the_same_seed_gives_the_same_balls() -> None:
    for kind in KINDS:
        assert make(kind, 0).rows, kind
    one, again, other = make("much_at_once", 4), make("much_at_once", 4), make("much_at_once", 5)
    assert one.rows == again.rows
    assert [c.stock_m for c in one.cells.values()] == [c.stock_m for c in again.cells.values()]
    assert one.rows != other.rows


def test_halves_part_the_kinds() -> None:
    tuned, reported = set(half("tuned")), set(half("reported"))
    assert not tuned & reported
    assert tuned | reported == set(KINDS)
    assert abs(len(tuned) - len(reported)) <= 1


@pytest.mark.parametrize("shape", [SHORT, LONG, HEAVY_TAILS, REAL_SHAPE, (-0.25, 0.95)])
def test_good_strikes_have_mean_0_and_sd_1(shape: tuple[float, float]) -> None:
    z = strikes(np.random.default_rng(1).normal(size=200_000), shape)
    assert abs(z.mean()) < 0.01
    assert abs(z.std() - 1) < 0.02


@pytest.mark.parametrize(
    "kind", ["already_warm", "skewed_short", "heavy_but_usable", "mishits_40", "spread_ladder", "gusts", "three_days"]
)
def test_many_balls_come_out_as_the_truth_says(kind: str) -> None:
    session = play(kind, replace(KINDS[kind], warm_up=0.0, balls=400, order="random", lofts=(54.0,)), rng_of(kind, 1))
    for name, cell in session.cells.items():
        here = [row for row in session.rows if (row.club, row.swing) == name]
        good = np.array([row.carry_m for row in here if row.good])
        assert abs(good.mean() - cell.stock_m) < 4 * cell.good_sd_m / len(good) ** 0.5
        days = np.array([row.day for row in here if row.good])
        last = good[days == days.max()]
        assert last.std() == pytest.approx(cell.good_sd_m, rel=0.15)
        assert np.mean([not row.good for row in here]) == pytest.approx(
            cell.mishit_rate, abs=4 * (0.25 / len(here)) ** 0.5
        )
        assert np.quantile(last, 0.9) == pytest.approx(np.interp(0.9, QUANTILES, cell.next_good_m), rel=0.03)


def test_spread_ladder_and_mishit_rates_are_as_stated() -> None:
    session = make("spread_ladder", 0)
    for swing, spread in {"waist": 0.10, "chest": 0.08, "shoulder": 0.06, "full": 0.045}.items():
        said = [c.good_sd_m / c.stock_m for c in session.cells.values() if c.swing == swing]
        assert np.mean(said) == pytest.approx(spread, rel=0.25)
    rates = {c.mishit_rate for c in make("one_club_much_better", 0).cells.values()}
    assert rates == {0.05, 0.35}
    assert all(c.mishit_rate == 0 for c in make("mishits_0", 2).cells.values())


def test_warm_up_and_drift_move_the_balls_by_what_they_say() -> None:
    world = World(
        spread=0.001,
        spread_sd=0,
        club_spread_sd=0,
        cell_spread_sd=0,
        mishits=0,
        lofts=(54.0,),
        swings=(("full", 1.0),),
        balls=100,
    )
    for changed, ratio in (
        (replace(world, warm_up=0.04, warm_balls=10), 1.04),
        (replace(world, warm_up=0, drift=-0.08), 0.92),
    ):
        rows = play("probe", changed, rng_of("probe", 0)).rows
        assert rows[-1].carry_m / rows[0].carry_m == pytest.approx(ratio, abs=0.008)


def test_odd_cells_are_off_by_their_dose_and_a_swapped_pair_is_swapped() -> None:
    assert [c.off for c in make("dose_-16", 3).cells.values() if c.planted] == [pytest.approx(-0.16, abs=0.04)]
    odd = {c.swing: c for c in make("swapped_pair", 0).cells.values() if c.planted}
    assert odd["chest"].stock_m > odd["shoulder"].stock_m


def test_readings_are_rounded_cut_long_in_metres_or_of_a_pile() -> None:
    assert all(
        row.read_m / YARD_M == pytest.approx(5 * round(row.read_m / YARD_M / 5)) for row in make("rounded_5", 0).rows
    )
    assert min(row.carry_m for row in make("drops_under_35", 0).rows) >= 35 * YARD_M
    long = make("device_3_long", 0)
    assert np.mean([row.read_m / row.carry_m for row in long.rows]) == pytest.approx(1.03, abs=0.002)
    rows = make("third_in_metres", 0).rows
    ratio = np.array([row.read_m / row.carry_m for row in rows])
    assert ratio[: len(rows) // 2].mean() == pytest.approx(1, abs=0.01)
    assert ratio[-len(rows) // 4 :].mean() == pytest.approx(YARD_M, abs=0.01)
    piles = make("pile_only", 0)
    assert len(piles.rows) == len(piles.cells)
    assert all(row.count == 10 for row in piles.rows)


def test_a_session_is_written_as_a_coach_would_have_it(tmp_path: Path) -> None:
    session = make("flight_told", 0)
    write_csv(session, tmp_path / "session.csv")
    with (tmp_path / "session.csv").open() as file:
        rows = list(csv.DictReader(file))
    assert (
        list(rows[0])
        == "ball day club loft_deg swing carry_yd offline_yd ball_speed_mph launch_deg backspin_rpm".split()
    )
    assert [float(r["carry_yd"]) for r in rows] == pytest.approx([r.read_m / YARD_M for r in session.rows], abs=0.06)
    write_csv(make("pile_only", 0), tmp_path / "pile.csv")
    assert len((tmp_path / "pile.csv").read_text().splitlines()) == 1 + sum(r.count for r in make("pile_only", 0).rows)


def _told_truth(session: Session, by: float = 1.0) -> judge.Answer:
    cells = {}
    for name, truth in session.cells.items():
        low, high = np.interp([0.05, 0.95], QUANTILES, truth.next_good_m)
        stock = truth.stock_m * by
        cells[name] = judge.CellAnswer(
            stock_m=stock,
            stock90_m=(stock * 0.99, stock * 1.01),
            next90_m=(low * by, high * by),
            mishit_rate=truth.mishit_rate,
            mishit90=(truth.mishit_rate, truth.mishit_rate),
            off_chance=float(abs(truth.off) > judge.OFF),
            flags=frozenset({"odd"} if abs(truth.off) > judge.ODD_FROM else ()),
        )
    bad = frozenset(row.number for row in session.rows if not row.good)
    return judge.Answer(cells=cells, good={row.number: float(row.good) for row in session.rows}, called=bad)


def test_who_tells_the_truth_is_judged_true_and_who_is_five_percent_long_is_not() -> None:
    sessions = [make("dose_+24", i) for i in range(3)]
    true = judge.judge("dose_+24", sessions, [_told_truth(s) for s in sessions])
    assert (true.held, true.rmse_yd, true.rate_held, true.brier_skill, true.f1) == (1, 0, 1, 1, 1)
    assert true.next_held == pytest.approx(0.9, abs=0.005)
    assert true.odd_found == (3, 3)
    assert true.odd_false[0] == 0
    assert true.off_skill == 1
    long = judge.judge("dose_+24", sessions, [_told_truth(s, 1.05) for s in sessions])
    assert long.held == 0
    assert long.bias == pytest.approx(0.05)
    assert long.next_held < 0.85
    assert "dose_+24" in report([true])


def test_another_day_and_the_long_run_differ_by_what_days_do() -> None:
    few = replace(KINDS["day_sd_4"], balls=1)
    sessions = [play("day_sd_4", few, rng_of("day_sd_4", i)) for i in range(80)]
    shifts = [np.mean([np.log(c.another_day_m / c.long_run_m) for c in s.cells.values()]) for s in sessions]
    assert np.std(shifts) == pytest.approx(0.04, rel=0.25)


def test_runs_of_mishits_keep_their_rate() -> None:
    law = draw_law(replace(KINDS["mishits_in_long_runs"], swing_mishits=(0.2,) * 4), np.random.default_rng(3))
    player = Player(law, np.random.default_rng(4), planned=6000)
    cell = law.cells[0]
    bad = np.array([not player.hit(cell.club, cell.swing).good for _ in range(6000)])
    assert bad.mean() == pytest.approx(0.2, abs=0.04)
    assert bad[1:][bad[:-1]].mean() == pytest.approx(0.75 + 0.25 * 0.2, abs=0.05)


def test_real_balls_lean_to_the_short_side_as_the_world_like_them_does() -> None:
    """Jung et al., CVPR 2025 Workshops (tests/data/real): skew -0.83 ± 0.19, excess kurtosis 1.2 ± 0.5 clear of the cut."""
    clear = [g for g in read_groups() if (g.player, g.club) in CLEAR_OF_CUT]
    logs = [np.log(g.carry_m) for g in clear]
    z = np.concatenate([(x - x.mean()) / x.std() for x in logs])
    ours = strikes(np.random.default_rng(0).normal(size=200_000), REAL_SHAPE)
    assert skew(ours) == pytest.approx(skew(z), abs=0.3)
    assert kurtosis(ours) == pytest.approx(kurtosis(z), abs=1.0)


def test_a_third_of_the_real_players_is_kept_for_testing_and_draws_leave_the_rest() -> None:
    tuned, tested = read_groups(which="tuned"), read_groups(which="tested")
    assert {g.player for g in tested} == {"2", "5", "8"}
    assert not {g.player for g in tuned} & {"2", "5", "8"}
    drawn = draw(tested[0], 5, 0, scale_to_m=80)
    assert (len(drawn.carry_m), len(drawn.rest_m)) == (5, len(tested[0].carry_m) - 5)
    assert np.median(np.concatenate([drawn.carry_m, drawn.rest_m])) == pytest.approx(80)
    sure = judge_real(
        lambda d: RealSaid(stock_m=d.trimmed_m, stock90_m=(d.trimmed_m,) * 2, next90_m=(0, 999)), tested, draws=3
    )
    assert [(f.held[0], f.next_any[0], f.error_pct[0]) for f in sure] == [(1, 1, 0)] * 4


def test_nominal_players_are_as_the_trade_knows_them() -> None:
    """Spread 3 to 10 %, one ball in ten to one in three a mishit, full swings 10 to 15 yd apart. Common practice, no source."""
    laws = [draw_law(KINDS["nominal_any_bag"], rng_of("nominal_any_bag", i)) for i in range(60)]
    spreads = [np.mean([c.spread for c in law.cells]) for law in laws]
    rates = [np.mean([c.mishits for c in law.cells]) for law in laws]
    steps = []
    for law in laws:
        full = [c.centre_m / YARD_M for c in law.cells if c.swing == "full"]
        steps.append(np.mean(-np.diff(full)))
    assert np.all((np.quantile(spreads, [0.1, 0.9]) > 0.03) & (np.quantile(spreads, [0.1, 0.9]) < 0.10))
    assert 0.10 <= np.median(rates) <= 0.33
    assert 10 <= np.median(steps) <= 15

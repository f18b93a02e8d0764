"""Expected strokes from the stated model, and shots played out, against exact and published values."""

import numpy as np
import pytest
from scipy import stats

from threequarter.choice.green import Green, Trouble, ends
from threequarter.choice.shot import ShotModel, choose, fly, shared_chances
from threequarter.choice.strokes import SKILLS, expected_strokes, holed
from threequarter.golf.errors import UserError

FOOT = 0.3048
WORLDS = 100


def model(club: str, carry_m: float, **more: float) -> ShotModel:
    given = {"spread": 0.06, "mishit": 0.12, "run": 4.0, "side": 0.045, "doubt": 0.01} | more
    rng = np.random.default_rng(1)
    return ShotModel(
        club=club,
        swing="waist",
        log_carry=np.log(carry_m) + given["doubt"] * rng.standard_normal(WORLDS),
        log_sd=np.full(WORLDS, np.log(given["spread"])),
        tail_df=9.0,
        mishit_rate=given["mishit"],
        side_sd=given["side"],
        side_m=np.zeros(WORLDS),
        run_m=np.full(WORLDS, given["run"]),
    )


@pytest.mark.parametrize(("feet", "putts"), [(8, 1.50), (30, 1.98)])
def test_expert_putts_agree_with_the_published_table(feet: float, putts: float) -> None:
    """Reference, second-hand: Broadie as quoted, 1.50 putts from 8 ft and 2.0 from 30 ft."""
    assert float(expected_strokes(feet * FOOT, "green", "expert")) == pytest.approx(putts, abs=0.03)


@pytest.mark.parametrize(("feet", "share"), [(3, 0.96), (5, 0.77), (10, 0.40), (20, 0.15)])
def test_experts_hole_about_what_is_published(feet: float, share: float) -> None:
    """Reference, second-hand: Broadie as quoted (96, 77, 40, 15 %); nature, 8 points."""
    assert float(holed(feet * FOOT, SKILLS["expert"])) == pytest.approx(share, abs=0.08)


def test_strokes_grow_with_distance_and_from_fairway_to_sand() -> None:
    distance = np.linspace(5, 110, 40)
    for level in SKILLS:
        fairway, rough, sand = (expected_strokes(distance, lie, level) for lie in ("fairway", "rough", "sand"))
        assert (np.diff(fairway) > -1e-9).all()
        assert (fairway < rough).all()
        assert (rough < sand).all()
    assert float(expected_strokes(0.05, "green", "club")) == pytest.approx(1.0, abs=0.01)
    with pytest.raises(UserError, match=r"strokes\.too_far"):
        expected_strokes(400.0, "fairway")


def test_better_players_need_fewer() -> None:
    for lie in ("green", "fairway", "rough"):
        values = [float(expected_strokes(10.0, lie, level)) for level in ("expert", "club", "newer")]
        assert values == sorted(values)


def test_a_round_cloud_about_the_flag_hits_a_circle_as_rice_says() -> None:
    """Exact: Rayleigh/Rice distribution, scipy.stats.rice; three standard errors."""
    green = Green(to_pin_m=60.0, depth_m=20.0, width_m=20.0, pin_m=10.0)
    rng = np.random.default_rng(3)
    n, sd, off = 100_000, 6.0, 4.0
    x, y = 60 + off + sd * rng.standard_normal(n), sd * rng.standard_normal(n)
    exact = stats.rice.cdf(10 / sd, off / sd)
    assert ends(green, x, y, "club").on_green.mean() == pytest.approx(exact, abs=3 * np.sqrt(exact * (1 - exact) / n))


def test_every_ball_ends_in_one_place_only() -> None:
    green = Green(to_pin_m=56.0, trouble=(Trouble(side="short", kind="water"), Trouble(side="left")))
    rng = np.random.default_rng(3)
    found = ends(green, 56 + 12 * rng.standard_normal(5000), 10 * rng.standard_normal(5000), "club")
    assert not (found.on_green & found.trouble).any()
    assert (found.strokes >= 1).all()


def test_good_balls_carry_what_the_chart_says() -> None:
    x, _, y = fly(
        model("54", 50.0, mishit=0.0, run=0.0, doubt=0.0), shared_chances(np.random.default_rng(1), WORLDS, 400)
    )
    assert np.median(x) == pytest.approx(50, rel=0.003)
    assert np.log(x).std() == pytest.approx(0.06, rel=0.03)
    assert y.mean() == pytest.approx(0, abs=0.1)


def test_trouble_short_asks_for_more_club() -> None:
    shots = [model("58", 52.0), model("54", 58.0)]
    safe = choose(
        shots,
        Green(to_pin_m=56.0, pin_m=6.0, trouble=(Trouble(side="short", kind="water"),)),
        rng=np.random.default_rng(1),
    )
    assert safe[0].club == "54"


def test_the_aim_moves_away_from_water_beside_the_green() -> None:
    green = Green(to_pin_m=60.0, width_m=9.0, trouble=(Trouble(side="left", kind="water"),))
    assert choose([model("54", 57.0)], green, rng=np.random.default_rng(1))[0].aim_m > 0


def test_the_order_does_not_depend_on_the_seed_where_two_shots_differ() -> None:
    shots = [model("58", 51.0), model("54", 55.0), model("50", 66.0)]
    orders = {
        tuple(o.club for o in choose(shots, Green(to_pin_m=58.0), rng=np.random.default_rng(seed))) for seed in range(6)
    }
    firsts = [choose(shots, Green(to_pin_m=58.0), rng=np.random.default_rng(seed))[-1].club for seed in range(6)]
    assert set(firsts) == {"50"}
    assert len(orders) <= 2


def test_nothing_that_reaches_gives_no_option() -> None:
    assert choose([model("54", 40.0)], Green(to_pin_m=120.0), rng=np.random.default_rng(1)) == ()


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"depth_m": 0.0}, r"green\.size"),
        ({"pin_m": 40.0}, r"green\.pin"),
        ({"to_pin_m": 900.0}, r"green\.distance"),
    ],
)
def test_a_green_that_cannot_be_is_refused(given: dict[str, float], said: str) -> None:
    with pytest.raises(UserError, match=said):
        Green(**({"to_pin_m": 60.0} | given))

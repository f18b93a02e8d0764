"""The plan belongs to the player: kept, read back, undone and made again, merged, erased."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.saying import raises_saying

from threequarter.golf.ball import Ball
from threequarter.golf.errors import UserError
from threequarter.golf.plan import Plan, PlannedClub, PlannedSwing, plan_of_balls
from threequarter.store.erasure.erase import erase
from threequarter.store.history.history import History
from threequarter.store.people.plans import Plans, plan_named
from threequarter.store.people.roster import Roster
from threequarter.store.results import Club
from threequarter.store.store import Store

PLAN = Plan(
    clubs=(PlannedClub(label="50", loft_deg=51.0, other_names=("GW", "Gappi")), PlannedClub(label="56")),
    swings=(PlannedSwing(label="waist", other_names=("halb",)), PlannedSwing(label="chest", arm_deg=75.5)),
    goal="Know 40 to 80 yards by May",
)


@pytest.fixture
def store(tmp_path: Path, database_url: str | None) -> Iterator[Store]:
    with Store.open(tmp_path, database_url) as opened:
        yield opened


def test_a_plan_is_kept_undone_and_made_again(store: Store) -> None:
    plans, history = Plans(store), History(store)
    assert plans.of_player("Ada Quill") is None
    made = plans.keep("Ada Quill", PLAN)
    assert made is not None
    assert plans.of_player("ada quill") == PLAN
    assert plans.keep("Ada Quill", PLAN) is None
    history.take_back("plan", made)
    assert plans.of_player("Ada Quill") is None
    history.again("plan", made)
    assert plans.of_player("Ada Quill") == PLAN


def test_clubs_of_the_bag_that_are_not_planned_stay_in_the_bag(store: Store) -> None:
    roster = Roster(store)
    roster.set_bag(
        "Ada Quill", [Club(label="46", loft_deg=46.0, full_carry_m=105.0), Club(label="50°", full_carry_m=92.0)]
    )
    assert Plans(store).of_player("Ada Quill") is None
    Plans(store).keep("Ada Quill", plan_named(["50", "54"], ["waist"]))
    bag = roster.bag("Ada Quill")
    assert [(club.label, club.full_carry_m, club.planned) for club in bag] == [
        ("50", 92.0, True),
        ("54", None, True),
        ("46", 105.0, False),
    ]


def test_the_keys_become_the_plan_only_where_there_is_none(store: Store) -> None:
    from threequarter.store.balls.phone_balls import PhoneBalls

    day = PhoneBalls(store).begin("Ada Quill")
    plans = Plans(store)
    plans.begin_with(day, ["50", "54", "GW 50"], ["waist", "hip", "chest"])
    assert plans.of_session(day) == plan_named(["50", "54"], ["waist", "chest"])
    plans.begin_with(day, ["60"], ["full"])
    assert plans.of_session(day) == plan_named(["50", "54"], ["waist", "chest"])


def test_two_clubs_of_one_name_are_refused(store: Store) -> None:
    twice = Plan(clubs=(PlannedClub(label="50"), PlannedClub(label="gap", other_names=("50°",))))
    with raises_saying(UserError, match="50 and gap go by the same name"):
        Plans(store).keep("Ada Quill", twice)
    assert Roster(store).known("Ada Quill") is None


def test_balls_under_other_names_are_the_same_shot() -> None:
    balls = [
        Ball(number=1, club="GW", swing="halb", distance_m=40),
        Ball(number=2, club="gappi", swing="Hüfte", distance_m=41),
        Ball(number=3, club="51°", swing="chest", distance_m=50, loft_deg=51),
        Ball(number=4, club="60", swing="full", distance_m=70, loft_deg=60),
    ]
    named = PLAN.named_all(balls)
    assert [(ball.club, ball.swing, ball.loft_deg) for ball in named] == [
        ("50", "waist", 51.0),
        ("50", "waist", 51.0),
        ("50", "chest", 51.0),
        ("60", "full", 60),
    ]
    assert PLAN.holds("GW", "halb")
    assert not PLAN.holds("60", "full")


def test_without_a_plan_the_balls_tell_it() -> None:
    balls = [
        Ball(number=1, club="58", swing="chest", distance_m=40, loft_deg=58),
        Ball(number=2, club="50", swing="waist", distance_m=45, loft_deg=50),
        Ball(number=3, club="46", swing="full", distance_m=99, loft_deg=46, use=False),
    ]
    plan = plan_of_balls(balls)
    assert not plan.stored
    assert plan.shots == (("50", "waist", 50), ("50", "chest", 50), ("58", "waist", 58), ("58", "chest", 58))


def test_merging_brings_the_plan_and_erasing_leaves_none_of_it(store: Store) -> None:
    Plans(store).keep("A. Quill", PLAN)
    Roster(store).add("Ada Quill")
    merged = Roster(store).merge("A. Quill", "Ada Quill")
    found = Plans(store).of_player("Ada Quill")
    assert found is not None
    assert (found.clubs, found.swings) == (PLAN.clubs, PLAN.swings)
    History(store).take_back("merge", merged)
    assert Plans(store).of_player("A. Quill") == PLAN
    erase(store, "A. Quill")
    assert Plans(store).of_player("A. Quill") is None

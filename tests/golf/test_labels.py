"""Clubs and swing lengths, written any way the trade writes them."""

import pytest

from threequarter.golf.club import club_key, parse_club
from threequarter.golf.errors import UserError
from threequarter.golf.plan import plan_of_text
from threequarter.golf.swing_length import parse_swing


@pytest.mark.parametrize(
    "label",
    ["54", "54°", "SW 54", "54.10", "54/10", "54-10", "54 度", "sand wedge 54", "54 degrees", "SW (54°)", "54.0"],
)
def test_all_spellings_of_a_54_are_one_club(label: str) -> None:
    assert parse_club(label).loft_deg == 54
    assert club_key(label) == "54"


@pytest.mark.parametrize(
    ("label", "kind"),
    [("PW", "pitching"), ("gap wedge", "gap"), ("S", "sand"), ("LW", "lob"), ("サンドウェッジ", "sand"), ("A", "gap")],
)
def test_a_name_without_a_number_gives_a_kind_and_a_wide_loft(label: str, kind: str) -> None:
    club = parse_club(label)
    assert (club.kind, club.loft_deg) == (kind, None)
    assert club.loft_prior_deg[1] >= 1.5


def test_a_nine_iron_has_no_loft_in_its_number() -> None:
    assert parse_club("9 iron").loft_deg is None


@pytest.mark.parametrize("label", ["9:00", "9 o'clock", "9h", "9時", "9 Uhr", "09:00:00", "kl 9"])
def test_all_spellings_of_nine_are_one_swing(label: str) -> None:
    assert parse_swing(label).key == "clock 9"


@pytest.mark.parametrize("label", ["waist", "hip", "belt", "Hüfte", "taille", "waist to waist", "腰"])
def test_hip_belt_and_waist_are_one_level(label: str) -> None:
    assert parse_swing(label).key == "waist"


def test_the_other_way_of_counting_the_clock_mirrors_it() -> None:
    assert parse_swing("3:00", "other").hour == parse_swing("9:00").hour == 9


def test_swings_sort_from_short_to_long() -> None:
    labels = ["full", "9:00", "knee", "shoulder", "waist", "10:00", "chest"]
    ordered = sorted(labels, key=lambda label: parse_swing(label).order)
    assert ordered[0] == "knee"
    assert ordered[-1] == "full"
    assert ordered.index("waist") < ordered.index("chest") < ordered.index("shoulder")


def test_a_players_own_name_is_kept_as_it_is() -> None:
    swing = parse_swing("Whisper")
    assert (swing.kind, swing.key, swing.reach) == ("own", "whisper", None)


def test_a_wedge_gripped_down_is_another_club_and_keeps_its_loft() -> None:
    assert club_key("54 gripped down") == club_key("SW 54, grip down") == club_key("Griff kurz", 54.0)
    assert club_key("54 gripped down") != club_key("54")
    assert parse_club("54 gripped down").loft_deg == 54.0
    plan = plan_of_text("54, 54 gripped down: waist")
    assert [plan.club(name).label for name in ("SW 54", "54 choked down")] == ["54", "54 gripped down"]  # type: ignore[union-attr]


def test_a_plan_in_a_line_has_clubs_lengths_and_their_other_names() -> None:
    plan = plan_of_text("50=GW 50, 54: waist=halb, chest")
    assert len(plan.shots) == 4
    assert plan.swing("halb") == plan.swing("waist") != plan.swing("chest")
    for text in ("50, 54", "50: ", "50,,54: waist", ""):
        with pytest.raises(UserError, match=r"plan\.form"):
            plan_of_text(text)

"""The kinds of player. Every second one is for tuning, the others for reporting, so brothers stand next to each other.

Where a figure has no source beside it: common practice, no source.
"""

from .players_law import FOUR, LEVELS, REAL_SHAPE, World, other_clock, usual_clock

SHORT, LONG, HEAVY_TAILS, FLAT = (-0.5, 0.9), (0.45, 0.9), (0.0, 0.64), (0.0, 1.35)
"""Shapes of good strikes (skew, tail): skew -1.0, +0.9, a Student t of about 6 degrees, and flatter than normal."""


def _swings(shares: dict[str, float]) -> tuple[tuple[str, float], ...]:
    return tuple(shares.items())


THREE = (50.0, 54.0, 58.0)
LADDER = (0.10, 0.08, 0.06, 0.045)
OWN = {"bump": 0.30, "soft hands": 0.44, "pocket": 0.55, "long pitch": 0.71, "stock": 0.88, "hard": 1.0}
GRIPS = {
    "waist": 0.47,
    "chest": 0.60,
    "chest grip down": 0.565,
    "shoulder": 0.80,
    "shoulder grip down": 0.755,
    "full": 1.0,
    "full grip down": 0.945,
}

_LIKE_MOST = {
    "nominal_three_clubs": World(lofts=THREE),
    "nominal_any_bag": World(),
    "nominal_random_order": World(order="random"),
    "nominal_by_club": World(order="clubs"),
    "nominal_whole_yards": World(step_yd=1.0, tell_offline=False),
    "nominal_knee_too": World(lofts=(52.0, 58.0), swings=_swings(LEVELS)),
    "already_warm": World(warm_up=0.0),
    "already_warm_random": World(warm_up=0.0, order="random"),
    "warm_up_2": World(warm_up=0.02, warm_balls=8),
    "warm_up_4": World(warm_up=0.04, warm_balls=10),
    "blocks_by_cell": World(order="cells"),
    "rounds_of_two": World(order="rounds2"),
}
_OVER_TIME = {
    "fatigue_4": World(drift=-0.04),
    "fatigue_8_by_club": World(drift=-0.08, order="clubs"),
    "fatigue_8": World(drift=-0.08),
    "fatigue_8_random": World(drift=-0.08, order="random"),
    "learning_8": World(drift=0.08),
    "learning_8_by_club": World(drift=0.08, order="clubs"),
    "two_days": World(days=2, balls=5),
    "two_days_4": World(days=2, balls=5, day_sd=0.04),
    "three_days": World(days=3, balls=4, day_sd=0.02),
    "three_days_swings_shift": World(days=3, balls=4, day_sd=0.015, day_swing_sd=0.02),
    "day_sd_1.5": World(day_sd=0.015),
    "day_sd_4": World(day_sd=0.04),
    "gusts": World(gust=0.03),
    "gusts_random": World(gust=0.05, order="random"),
}
_STRIKES = {
    "skewed_short": World(shape=SHORT),
    "skewed_short_hardly_missing": World(shape=SHORT, mishits=0.02),
    "skewed_long": World(shape=LONG),
    "skewed_long_hardly_missing": World(shape=LONG, mishits=0.02),
    "heavy_tails": World(shape=HEAVY_TAILS),
    "like_real_balls": World(shape=REAL_SHAPE, mishits=0.04, long_thin=0.0, spread=0.075),
    "flat_and_wide": World(shape=FLAT, spread=0.10, mishits=0.03),
    "heavy_tails_hardly_missing": World(shape=HEAVY_TAILS, mishits=0.02),
    "mishits_0": World(mishits=0.0),
    "mishits_20": World(mishits=0.20, mishits_sd=0.1),
    "mishits_40": World(mishits=0.40, mishits_sd=0.1),
    "mishits_5": World(mishits=0.05, mishits_sd=0.1),
    "mishits_in_runs": World(mishits=0.2, runs=0.5, order="clubs"),
    "mishits_in_long_runs": World(mishits=0.2, runs=0.75),
    "mishits_on_full_only": World(swing_mishits=(0.03, 0.03, 0.03, 0.35)),
    "mishits_on_short_only": World(swing_mishits=(0.35, 0.15, 0.04, 0.04)),
    "one_club_better": World(club_mishits=(0.05, 0.35, 0.20)),
    "one_club_much_better": World(lofts=(50.0, 56.0), club_mishits=(0.05, 0.35)),
    "heavy_but_usable": World(heavy=0.20),
    "mat_hides_fat": World(heavy=0.30, heavy_loss=(0.02, 0.08), mishits=0.03),
    "never_long": World(long_thin=0.0, shape=SHORT),
    "thin_and_long": World(mix=(0.15, 0.65, 0.12, 0.08), long_thin=0.9, mishits=0.2),
}
_SPREADS = {
    "spread_by_club": World(lofts=(46.0, 50.0, 54.0, 58.0), by_club=(0.03, 0.05, 0.085, 0.12)),
    "spread_by_club_two": World(lofts=(52.0, 58.0), by_club=(0.035, 0.10)),
    "spread_ladder": World(by_swing=LADDER, lofts=THREE),
    "spread_ladder_reversed": World(by_swing=LADDER[::-1], lofts=THREE),
    "wild_15": World(spread=0.15, spread_sd=0.05, mishits=0.20),
    "wild_11": World(spread=0.11, spread_sd=0.05),
    "scratch_2.5": World(spread=0.025, spread_sd=0.05, mishits=0.04, full_yd=92),
    "steady_4": World(spread=0.04, spread_sd=0.05, mishits=0.08),
}
_DOSES = {
    f"dose_{sign}{size}": World(lofts=THREE, spread=0.055, spread_sd=0.1, odd=size / 100 * (1 if sign == "+" else -1))
    for i, size in enumerate((4, 8, 12, 16, 24))
    for sign in ("-+", "+-")[i % 2]  # so that each half has doses of both signs
}
_OFF_THE_LINE = {
    "dose_0": World(lofts=THREE, spread=0.055, spread_sd=0.1),
    "swapped_pair": World(swap=True),
    "swapped_pair_random": World(swap=True, order="random", lofts=THREE),
    "cells_off_3": World(cell_sd=0.03),
    "cells_off_6": World(cell_sd=0.06),
    "cells_off_4_random": World(cell_sd=0.04, order="random"),
    "one_club_10_off": World(club_off=0.10),
    "clubs_off_5": World(club_sd=0.05),
    "clock_usual": World(lofts=(50.0, 54.0, 58.0), swings=_swings(usual_clock()), balls=6),
    "clock_other_shares": World(lofts=(50.0, 54.0, 58.0), swings=_swings(other_clock()), balls=6),
    "clock_other_shares_two": World(lofts=(52.0, 58.0), swings=_swings(other_clock())),
    "own_names": World(swings=_swings(OWN), lofts=(52.0, 58.0)),
    "grip_down": World(swings=_swings(GRIPS), lofts=(52.0, 58.0), swing_sd=0.03),
    "shares_unlike_usual": World(swings=_swings({"waist": 0.36, "chest": 0.52, "shoulder": 0.88, "full": 1.0})),
    "shoulder_as_far_as_full": World(swings=_swings(FOUR | {"shoulder": 0.97})),
    "flat_over_lofts": World(per_degree=0.012),
    "steep_over_lofts": World(per_degree=0.040),
    "two_swings_one_name": World(second_gap=0.20),
    "two_swings_nearer": World(second_gap=0.13, balls=15),
}
_AMOUNTS = {
    "one_ball_a_cell": World(balls=1),
    "two_balls_a_cell": World(balls=2),
    "five_balls_a_cell": World(balls=5),
    "uneven_some_none": World(balls=5, layout="uneven"),
    "mostly_one_cell": World(layout="mostly one"),
    "sixty_balls_a_cell": World(balls=60, lofts=(52.0, 58.0)),
    "one_club_only": World(lofts=(56.0,)),
    "one_club_five_balls": World(lofts=(52.0,), balls=5),
    "one_shot_only": World(lofts=(54.0,), swings=(("full", 1.0),), balls=12),
    "one_shot_chest": World(lofts=(56.0,), swings=(("chest", 0.6),), balls=8, warm_up=0.0),
}
_READINGS = {
    "rounded_5": World(step_yd=5.0),
    "rounded_5_steady": World(step_yd=5.0, spread=0.035),
    "drops_under_35": World(cut_yd=35.0),
    "drops_under_45": World(cut_yd=45.0, order="random"),
    "device_3_long": World(scale=1.03),
    "device_3_short": World(scale=0.97, order="random"),
    "third_in_metres": World(metres="block", order="clubs"),
    "third_in_metres_random": World(metres="random"),
    "pile_only": World(read_by="pile", order="clubs", tell_offline=False),
    "paced": World(read_by="paces", tell_offline=False),
    "flight_told": World(tell_flight=True),
    "flight_told_many_missed": World(tell_flight=True, mishits=0.30),
}
_PEOPLE = {
    "junior": World(
        full_yd=44.0, full_sd=0.05, lofts=(52.0, 58.0), spread=0.10, mishits=0.25, label="letters", tell_loft=False
    ),
    "junior_flat": World(full_yd=40.0, full_sd=0.05, lofts=(56.0,), spread=0.09, per_degree=0.02),
    "left_hander_hook": World(side_bias=0.06, side_follows=0.4),
    "short_goes_right": World(side_follows=-0.6),
    "low_lofts": World(lofts=(33.0, 37.0, 41.0, 46.0), full_yd=84),
    "low_lofts_strong": World(lofts=(35.0, 41.0, 46.0, 52.0, 58.0), full_yd=92, balls=6),
    "loft_not_told": World(label="letters", tell_loft=False, lofts=(46.0, 52.0, 56.0, 60.0)),
    "letters_and_loft": World(label="both", full_yd=88),
    "worst_of_all": World(
        cell_sd=0.03,
        drift=-0.05,
        shape=SHORT,
        club_mishits=(0.05, 0.30),
        club_spread_sd=0.4,
        step_yd=1.0,
        order="clubs",
    ),
    "much_at_once": World(
        cell_sd=0.02,
        drift=0.04,
        shape=REAL_SHAPE,
        mishits=0.25,
        runs=0.4,
        by_swing=LADDER,
        days=2,
        balls=5,
        day_sd=0.03,
    ),
}

KINDS: dict[str, World] = (
    _LIKE_MOST | _OVER_TIME | _STRIKES | _SPREADS | _DOSES | _OFF_THE_LINE | _AMOUNTS | _READINGS | _PEOPLE
)
"""Kind by name; its place in here decides its half."""

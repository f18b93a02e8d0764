"""Compares what the swing check says of a clip with what is true of it. Knows only the documented JSON answer, not how it is made."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from typing import Any

import numpy as np

Json = dict[str, Any]
FIELDS = {
    "t_takeaway_s": "t_takeaway_1deg_s",  # what can be seen: the arm has moved by 1 degree
    "t_top_s": "t_top_s",
    "t_impact_s": "t_impact_s",
    "t_finish_s": "t_finish_s",
    "lead_arm_top_deg": "lead_arm_top_deg",
    "lead_arm_finish_deg": "lead_arm_finish_deg",
    "lead_arm_top_square_deg": "lead_arm_top_square_deg",
    "lead_arm_finish_square_deg": "lead_arm_finish_square_deg",
    "hand_height_top": "hand_height_top",
    "hand_height_finish": "hand_height_finish",
    "tempo_ratio": "tempo_ratio_1deg",
    "impact_over_peak": "impact_over_peak",
}
NEAR_S = 0.4  # found: the strike within this of the true one, in seconds of life
MATCHED_DEG, CLEAR_DEG = 8.0, 15.0
CLOCK_SHARE = 0.15  # a factor of slow motion, and seconds to the ball, are right within this share
FINISH_FIELDS = ("t_finish_s", "lead_arm_finish_deg", "lead_arm_finish_square_deg", "hand_height_finish")
COUNTS = (
    "true",
    "found",
    "missed",
    "let_go",
    "false",
    "not_null",
    "measured_though",
    "slow_true",
    "slow_right",
    "slow_false",
    "hand_wrong",
    "clock_wrong",
    "clock_asked",
    "practice_true",
    "practice_told",
    "practice_unsure",
    "practice_as_ball",
    "ball_as_practice",
    "matched",
    "matched_said",
    "matched_wrong",
    "uneven",
    "uneven_said",
    "uneven_wrong",
)


@dataclass
class Tally:
    """Sums over clips: counts by name, and by field the errors with the half widths that were stated (nan: none was)."""

    counts: dict[str, int] = field(default_factory=lambda: dict.fromkeys(COUNTS, 0))
    errors: dict[str, list[tuple[float, float]]] = field(default_factory=lambda: defaultdict(list))
    camera_deg: list[float] = field(default_factory=list)

    def add(self, other: Tally) -> None:
        """Takes another tally in."""
        for name, count in other.counts.items():
            self.counts[name] += count
        for name, errors in other.errors.items():
            self.errors[name].extend(errors)
        self.camera_deg.extend(other.camera_deg)

    def held(self, name: str | None = None) -> tuple[int, int]:
        """How many stated 90 % intervals hold the truth, and of how many; of one field or of all."""
        pairs = [p for key, errors in self.errors.items() if name in (None, key) for p in errors if np.isfinite(p[1])]
        return sum(abs(error) <= half for error, half in pairs), len(pairs)


def judge(answer: Json, truth: Json) -> Tally:
    """One clip's answer against its truth."""
    tally, n = Tally(), Tally().counts
    tally.counts = n
    slowed = float(truth.get("slowed", 1.0))
    balls, practice = truth["swings"], truth.get("practice", [])
    pairs, false = _pairs(answer["swings"], [*balls, *practice], NEAR_S * slowed)
    n["true"], n["practice_true"], n["false"] = len(balls), len(practice), false
    for said, true in pairs:
        is_ball = any(true is ball for ball in balls)
        struck = str(said.get("struck", "ball"))
        if is_ball:
            n["found"] += 1
            n["ball_as_practice"] += struck == "practice"
        else:
            n[
                "practice_told"
                if struck == "practice"
                else "practice_as_ball"
                if struck == "ball"
                else "practice_unsure"
            ] += 1
        _judge_swing(tally, said, true, slowed)
        _judge_clock(n, answer, said, true, slowed)
    missing = n["true"] - n["found"]
    n["let_go" if set(truth["expected"]) & {"refused", "asked"} else "missed"] += missing
    if truth["expected"] == ["refused"]:
        n["measured_though"] = sum(any(said.get(name) is not None for name in FIELDS) for said in answer["swings"])
    if pairs:
        n["hand_wrong"] = int(bool(answer.get("handedness")) and answer["handedness"] != truth["handedness"])
        if answer.get("camera_azimuth_deg") is not None:
            tally.camera_deg.append(answer["camera_azimuth_deg"] - truth["camera"]["azimuth_deg"])
    return tally


def _pairs(said: list[Json], true: list[Json], near_s: float) -> tuple[list[tuple[Json, Json]], int]:
    """Each said swing with the true one nearest in time, each at most once; and how many are left over."""

    def apart(one: Json, other: Json) -> float:
        names = ("t_impact_s", "t_top_s")
        return next((abs(one[k] - other[k]) for k in names if one.get(k) is not None and other[k] is not None), np.inf)

    pairs, free_said, free_true = [], set(range(len(said))), set(range(len(true)))
    for gap, i, j in sorted((apart(a, b), i, j) for i, a in enumerate(said) for j, b in enumerate(true)):
        if gap <= near_s and i in free_said and j in free_true:
            pairs.append((said[i], true[j]))
            free_said.remove(i)
            free_true.remove(j)
    return pairs, len(free_said)


def _judge_swing(tally: Tally, said: Json, true: Json, slowed: float) -> None:
    widths = said.get("doubt90") or {}
    n = tally.counts
    for name, key in FIELDS.items():
        if said.get(name) is None:
            continue
        if true[key] is None:
            n["not_null"] += 1
            continue
        scale = slowed if name.startswith("t_") else 1.0  # errors in seconds of life
        half = widths.get(name)
        tally.errors[name].append(((said[name] - true[key]) / scale, np.nan if half is None else half / scale))
    called = bool(said.get("decelerating"))
    n["slow_true"] += true["decelerating"]
    n["slow_right"] += called and true["decelerating"]
    n["slow_false"] += called and not true["decelerating"]
    _judge_match(n, verdict(said), true)


def _judge_match(n: dict[str, int], said: str, true: Json) -> None:
    back, through = true["lead_arm_top_square_deg"], true["lead_arm_finish_square_deg"]
    if back is None or through is None:
        n["not_null"] += said != "cannot tell"
        return
    more = through - back
    if abs(more) <= MATCHED_DEG:
        n["matched"] += 1
        n["matched_said"] += said == "matches"
        n["matched_wrong"] += said in ("longer", "shorter")
    elif abs(more) >= CLEAR_DEG:
        right = "longer" if more > 0 else "shorter"
        n["uneven"] += 1
        n["uneven_said"] += said == right
        n["uneven_wrong"] += said not in (right, "cannot tell")


def verdict(said: Json) -> str:
    """What the words of a swing say of back and through: matches, longer, shorter, or cannot tell."""
    for line in said.get("words", []):
        text = line.lower()
        if "through" in text and not ("back:" in text and "through:" in text):
            if "cannot" in text or "can't" in text:
                return "cannot tell"
            found = [word for word in ("longer", "shorter", "match") if word in text]
            if found:
                return "matches" if found[0] == "match" else found[0]
    return "cannot tell"


def _judge_clock(n: dict[str, int], answer: Json, said: Json, true: Json, slowed: float) -> None:
    """Slow motion: the factor said, or asked for; without a word of it the seconds are taken as those of life."""
    factor = answer.get("slower", 1.0)
    likely = [chance for chance in answer.get("slower_chances") or [] if chance[1] >= 0.1]
    if factor is None or len(likely) > 1:
        n["clock_asked"] += slowed != 1
        n["clock_wrong"] += factor is None and not likely and slowed == 1
        return
    n["clock_wrong"] += abs(factor / slowed - 1) > CLOCK_SHARE


def table(by_condition: dict[str, Tally]) -> str:
    """Counts and errors, a row a condition, and of all together by field."""
    whole = Tally()
    rows = [
        f"{'condition':26s} {'found':>7s} {'let go':>6s} {'false':>5s} {'top ms':>9s} {'impact ms':>9s} {'arm top':>9s} {'arm fin':>9s}"
        f" {'tempo':>9s} {'90 % holds':>11s} notes"
    ]
    for name, tally in by_condition.items():
        whole.add(tally)
        rows.append(_row(name, tally))
    rows += [
        _row("all", whole),
        "",
        f"{'field':28s} {'n':>4s} {'bias':>8s} {'median':>8s} {'largest':>8s} {'90 % holds':>11s} {'x for 90 %':>10s}",
    ]
    rows += [_field_row(name, whole) for name in FIELDS if whole.errors[name]]
    worst = max(map(abs, whole.camera_deg), default=float("nan"))
    rows += ["", _sentence(whole.counts), f"camera: worst {worst:.1f} deg of {len(whole.camera_deg)} answers"]
    return "\n".join(rows)


def _row(name: str, tally: Tally) -> str:
    def pair(field_name: str, scale: float, digits: int) -> str:
        sizes = [abs(error) * scale for error, _ in tally.errors.get(field_name, [])]
        return f"{np.median(sizes):.{digits}f}/{max(sizes):.{digits}f}" if sizes else "-"

    n = tally.counts
    held, of = tally.held()
    share = f"{100 * held / of:.0f} of {of}" if of else "-"
    quiet = (
        "true",
        "found",
        "missed",
        "let_go",
        "false",
        "matched",
        "matched_said",
        "uneven",
        "slow_true",
        "uneven_said",
    )
    notes = ", ".join(f"{k.replace('_', ' ')} {v}" for k, v in n.items() if v and k not in quiet)
    return (
        f"{name:26s} {n['found']:>3d}/{n['true']:<3d} {n['let_go']:6d} {n['false']:5d} {pair('t_top_s', 1000, 0):>9s} {pair('t_impact_s', 1000, 0):>9s}"
        f" {pair('lead_arm_top_deg', 1, 1):>9s} {pair('lead_arm_finish_deg', 1, 1):>9s} {pair('tempo_ratio', 1, 2):>9s} {share:>11s} {notes}"
    )


def _field_row(name: str, tally: Tally) -> str:
    errors = np.array([error for error, _ in tally.errors[name]])
    ratios = [abs(error) / half for error, half in tally.errors[name] if np.isfinite(half) and half > 0]
    held, of = tally.held(name)
    factor = f"{np.quantile(ratios, 0.9, method='higher'):.2f}" if ratios else "-"
    share = f"{100 * held / of:.0f} of {of}" if of else "-"
    return f"{name:28s} {len(errors):4d} {np.median(errors):8.3f} {np.median(abs(errors)):8.3f} {abs(errors).max():8.3f} {share:>11s} {factor:>10s}"


def _sentence(n: dict[str, int]) -> str:
    return (
        f"swings: found {n['found']} of {n['true']}, missed {n['missed']}, let go with leave {n['let_go']}, false {n['false']}, measured though to be refused {n['measured_though']}\n"
        f"null where it must be: broken {n['not_null']} times; slowing called {n['slow_right']} of {n['slow_true']}, falsely {n['slow_false']}; hand wrong {n['hand_wrong']}\n"
        f"clock: wrong {n['clock_wrong']}, asked {n['clock_asked']}; practice swings: told {n['practice_told']}, unsure {n['practice_unsure']}, taken for a ball {n['practice_as_ball']} "
        f"of {n['practice_true']}; balls taken for practice {n['ball_as_practice']}\n"
        f"back and through within {MATCHED_DEG:.0f} deg: {n['matched']}, said so {n['matched_said']}, called uneven {n['matched_wrong']}; "
        f"{CLEAR_DEG:.0f} deg and more apart: {n['uneven']}, said so {n['uneven_said']}, said otherwise {n['uneven_wrong']}"
    )

"""Holds a reading of a table against the truth, ball by ball.

A reading is the answer as JSON: `balls`, `set_aside`, `questions` (each with `about`), `error`. The outcomes:

right           every judged field agrees (or a ball that is not to be used was set aside)
covered         a field is wrong, doubtful or unread, or the ball is absent, and a question that was asked covers it
silently wrong  carry, side, club, swing or player wrong, or used against the table's word, and nothing was asked
other           only ball speed, launch, spin, loft or count wrong, or a good ball not used: no wrong carry reaches a chart
aside           a good ball was set aside with a reason
refused         absent because the whole table was refused in words
missing         neither read, set aside, covered nor refused
invented        a ball that the table does not hold, and no question covers it
"""

import math
import re
import unicodedata
from collections import Counter
from dataclasses import dataclass, field
from difflib import SequenceMatcher
from typing import Any

OUTCOMES = ("right", "covered", "silently wrong", "other", "aside", "refused", "missing", "invented")
LABELS = ("club", "swing", "player")
KEY = ("carry_m", "offline_m", *LABELS)
OTHER = ("loft_deg", "ball_speed_ms", "launch_deg", "backspin_rpm", "count")
TOLERANCE = {
    "carry_m": (0.05, 0.001),
    "offline_m": (0.05, 0.001),
    "ball_speed_ms": (0.05, 0.0),
    "launch_deg": (0.05, 0.0),
    "backspin_rpm": (1.0, 0.0),
    "loft_deg": (0.0, 0.0),
    "count": (0.0, 0.0),
}
COVERED = {
    "unit": {"carry_m", "offline_m", "ball_speed_ms"},
    "decimal": {"carry_m", "offline_m", "ball_speed_ms", "launch_deg", "backspin_rpm"},
    "carry": {"carry_m"},
    "offline": {"offline_m"},
    "club": {"club", "loft_deg"},
    "swing": {"swing"},
    "player": {"player"},
    "speed": {"ball_speed_ms"},
    "spin": {"backspin_rpm"},
    "launch": {"launch_deg"},
    "rows": {"use", "row"},
    "sheet": {*KEY, "row"},
}
ABSENT = {
    "carry",
    "unit",
    "rows",
    "sheet",
    "decimal",
    "columns",
    "layout",
}  # a question about these may hold all balls back


@dataclass
class Verdict:
    """Counts by outcome, the subjects asked, and the first few balls that went wrong, in words."""

    counts: Counter[str] = field(default_factory=Counter)
    asked: tuple[str, ...] = ()
    needless: tuple[str, ...] = ()
    needed_unasked: bool = False
    wrong: list[str] = field(default_factory=list)


def plain(label: Any) -> str:
    """A label without case, spaces, degree signs and full-width forms; 54.0 is 54."""
    if label is None:
        return ""
    text = unicodedata.normalize("NFKC", str(label)).replace("\u2044", "/").casefold()
    return re.sub(r"^(\d+)\.0$", r"\1", re.sub(r"[\s°º]", "", text))


def many(value: Any) -> list[Any]:
    return list(value) if isinstance(value, list | tuple) else [value]


def agrees(name: str, truth: dict[str, Any], answer: dict[str, Any]) -> bool:
    wanted = [truth[name], *(many(truth["also"][name]) if name in truth.get("also", {}) else [])]
    got = answer.get(name)
    if name in LABELS:
        return plain(got) in {plain(w) for w in wanted}
    if got is None or None in wanted[:1]:
        return got is None and None in wanted
    if isinstance(got, bool) or not isinstance(got, int | float) or not math.isfinite(got):
        return False
    absolute, relative = TOLERANCE[name]
    return any(w is not None and abs(got - w) <= max(absolute, relative * abs(w)) + 1e-6 for w in wanted)


def column(value: Any) -> int | None:
    """A column as a number from 1, from a number or letters."""
    if isinstance(value, str) and value.isalpha():
        number = 0
        for letter in value.upper():
            number = number * 26 + ord(letter) - 64
        return number
    return int(value) if str(value).isdigit() else None


def place(item: dict[str, Any]) -> tuple[str, Any]:
    return plain(item.get("sheet")), item.get("row")


def pair(
    truth: dict[str, Any], answers: list[dict[str, Any]]
) -> tuple[dict[int, dict[str, Any]], list[dict[str, Any]]]:
    """Answers by the index of their true ball, and those that match none: by place, and in loose tables by sequence."""
    balls = truth["balls"]
    one_sheet = len({plain(b["sheet"]) for b in balls}) == 1
    places: dict[Any, list[int]] = {}
    for i, ball in enumerate(balls):
        places.setdefault((None if one_sheet else plain(ball["sheet"]), ball["row"]), []).append(i)
    found: dict[int, dict[str, Any]] = {}
    left = []
    for answer in answers:
        key = (None if one_sheet else plain(answer.get("sheet")), answer.get("row"))
        free = [i for i in places.get(key, []) if i not in found]
        col = column(answer.get("col"))
        free = [i for i in free if not col or balls[i].get("col") in (None, col)]
        if free:
            found[free[0]] = answer
        else:
            left.append(answer)
    if not truth.get("loose"):
        return found, left
    by_order = _in_sequence(balls, answers)
    return (
        (by_order, [a for a in answers if not any(a is b for b in by_order.values())])
        if _fit(balls, by_order) > _fit(balls, found)
        else (found, left)
    )


def _fit(balls: list[dict[str, Any]], found: dict[int, dict[str, Any]]) -> int:
    return sum(agrees(n, balls[i], a) for i, a in found.items() for n in ("carry_m", "club", "swing") if n in balls[i])


def _in_sequence(balls: list[dict[str, Any]], answers: list[dict[str, Any]]) -> dict[int, dict[str, Any]]:
    key = lambda b: (plain(b.get("club")), round(b.get("carry_m") or 0, 1))  # noqa: E731
    matcher = SequenceMatcher(None, [key(b) for b in balls], [key(a) for a in answers], autojunk=False)
    out = {}
    for _, i1, i2, j1, j2 in matcher.get_opcodes():
        out.update({i: answers[j] for i, j in zip(range(i1, i2), range(j1, j2), strict=False)})
    return out


def needed(truth: dict[str, Any]) -> set[str]:
    """The subjects of which one must be asked, or the doubtful fields are guesses."""
    return {a for a in many(truth["ambiguous"]) if a}


def settled(truth: dict[str, Any], asked: set[str]) -> bool:
    return not needed(truth) or bool(needed(truth) & asked)


def judge_ball(ball: dict[str, Any], answer: dict[str, Any], asked: set[str], truth: dict[str, Any]) -> tuple[str, str]:
    """The outcome of one ball that was read, and what was wrong, in words."""
    free = set(ball.get("free", ())) | (set(truth["doubtful"]) if settled(truth, asked) else set())
    trap = set() if settled(truth, asked) else set(truth["doubtful"])
    wrong = {n for n in (*KEY, *OTHER) if n in ball and n not in free and not agrees(n, ball, answer)}
    wrong |= {n for n in trap if ball.get(n) is not None and answer.get(n) is not None}
    if "use" not in free and bool(answer.get("use", True)) != ball["use"]:
        wrong.add("use" if not ball["use"] else "not used")
    bad = wrong & {*KEY, "use", *trap}
    unread = {n for n in trap if answer.get(n) is None}  # left open: an error, but no guess
    covered = set().union(*(COVERED.get(a, {a}) for a in asked)) if asked else set()
    words = "; ".join(f"{n} {answer.get(n)!r} for {ball.get(n)!r}" for n in sorted(wrong))
    if bad - covered - unread:
        return "silently wrong", words
    if bad:
        return ("covered" if not bad - covered else "other"), words
    if wrong - covered:
        return "other", words
    return (
        "covered"
        if wrong
        or (
            needed(truth)
            and asked & needed(truth)
            and ball.get("carry_m") is not None
            and "carry_m" in truth["doubtful"]
        )
        else "right"
    ), words


def is_aside(ball: dict[str, Any], asides: list[dict[str, Any]]) -> bool:
    for aside in asides:
        col = column(aside.get("col"))
        same_sheet = aside.get("sheet") is None or plain(aside.get("sheet")) == plain(ball["sheet"])
        if aside.get("row") == ball["row"] and same_sheet and (not col or ball.get("col") in (None, col)):
            return True
    return False


def judge(truth: dict[str, Any], reading: dict[str, Any]) -> Verdict:
    """All balls of one table."""
    asked = {str(q.get("about")) for q in reading.get("questions") or []}
    answers, asides = reading.get("balls") or [], reading.get("set_aside") or []
    fair = needed(truth) | set(truth["may_ask"])
    out = Verdict(asked=tuple(sorted(asked)), needless=tuple(sorted(asked - fair)))
    out.needed_unasked = (
        bool(needed(truth)) and not needed(truth) & asked and not reading.get("error") and bool(answers)
    )
    holds = bool(asked & ABSENT)
    if truth["refuse"]:
        out.counts["invented"] = 0 if holds else len(answers)
        out.counts["refused right" if not answers or holds else "refused wrong"] += 1
        return out
    found, false = pair(truth, answers)
    extra = [a for a in false if not _explained(a, truth)]
    out.counts["invented"] = 0 if asked & (ABSENT - {"unit", "decimal"}) else len(extra)
    out.wrong += [
        f"invented: row {a.get('row')} {a.get('club')} {a.get('swing')} {a.get('carry_m')}"
        for a in extra[:3]
        if out.counts["invented"]
    ]
    for i, ball in enumerate(truth["balls"]):
        if i in found:
            outcome, words = judge_ball(ball, found[i], asked, truth)
            if outcome == "silently wrong" and len(out.wrong) < 6:
                out.wrong.append(f"row {ball['row']}: {words}")
        elif is_aside(ball, asides):
            outcome = "right" if not ball["use"] or "use" in ball.get("free", ()) else "covered" if holds else "aside"
        else:
            outcome = (
                "covered"
                if holds
                else "refused"
                if reading.get("error")
                else "covered"
                if asked and not answers
                else "missing"
            )
        out.counts[outcome] += 1
    return out


def _explained(answer: dict[str, Any], truth: dict[str, Any]) -> bool:
    """A damaged row that was read as a ball but is not to be used, or a row the truth leaves free."""
    return any(
        place(answer) == place(r) and (r.get("free") or not answer.get("use", True)) for r in truth["set_aside_rows"]
    )


def tally(verdicts: list[tuple[tuple[str, ...], Verdict]]) -> dict[str, Counter[str]]:
    """Counts by twist (a table of several twists counts for each), `(none)` where there was none, and `all`."""
    out: dict[str, Counter[str]] = {"all": Counter()}
    for twists, verdict in verdicts:
        for name in ("all", *(twists or ("(none)",))):
            counts = out.setdefault(name, Counter())
            counts.update(verdict.counts)
            counts["tables"] += 1
            counts["questions"] += len(verdict.asked)
            counts["needless questions"] += len(verdict.needless)
            counts["needed, not asked"] += verdict.needed_unasked
    return out

"""Our swings beside somebody's own marks of the same clip: how far off are we on their footage?"""

from collections.abc import Mapping
from typing import Any, Final

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message

ADDED: Final = "added"
NOT_A_SWING: Final = "not_a_swing"
MATCH_S: Final = 0.4
FIELDS: Final = (
    "t_takeaway_s",
    "t_top_s",
    "t_impact_s",
    "t_finish_s",
    "lead_arm_top_deg",
    "lead_arm_finish_deg",
    "lead_arm_top_square_deg",
    "lead_arm_finish_square_deg",
    "hand_height_top",
    "hand_height_finish",
    "tempo_ratio",
    "impact_over_peak",
)


def compare(answer: Mapping[str, Any], marks: Any) -> dict[str, Any]:
    """Errors (ours minus marked) of every field that both have, swing by swing; swings missed and found too many.

    `marks` are the truth's form (`swings`), or the corrections of a clip (`marks.py`): those tell only the fields that were
    corrected, which swings are none, and which were missed. Raises UserError where the marks hold no swings.
    """
    if isinstance(marks, Mapping) and "swings" not in marks and any(key == ADDED or key.isdigit() for key in marks):
        return compare(answer, {"swings": _swings_of(answer, marks)})
    if not isinstance(marks, Mapping) or not isinstance(marks.get("swings"), list):
        raise UserError(Message("swing.no_marks"))
    pairs = _pairs(answer["swings"], marks["swings"])
    errors: dict[str, list[float]] = {}
    inside: dict[str, list[bool]] = {}
    for ours, theirs in pairs:
        for name in FIELDS:
            a, b = ours.get(name), theirs.get(f"{name}_1deg", theirs.get(name))
            if name == "t_takeaway_s":
                b = theirs.get("t_takeaway_1deg_s", b)
            if isinstance(a, int | float) and isinstance(b, int | float):
                errors.setdefault(name, []).append(round(a - b, 4))
                inside.setdefault(name, []).append(abs(a - b) <= ours["doubt90"][name])
    return {
        "matched": len(pairs),
        "missed": len(marks["swings"]) - len(pairs),
        "found_too_many": len(answer["swings"]) - len(pairs),
        "errors": errors,
        "within_doubt": {name: round(sum(held) / len(held), 3) for name, held in inside.items()},
    }


def _swings_of(answer: Mapping[str, Any], marks: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The swings of a clip as its corrections leave them: where nothing was corrected only the instant of impact, to pair them."""
    swings = []
    for n, swing in enumerate(answer["swings"], start=1):
        told = marks.get(str(swing.get("number", n))) or {}
        if not told.get(NOT_A_SWING):
            known = {name: told[name] for name in FIELDS if name in told}
            swings.append(known if "t_impact_s" in known else {**known, "near_s": swing["t_impact_s"]})
    return [*swings, *(dict(one) for one in marks.get(ADDED) or [])]


def _pairs(ours: list[Any], theirs: list[Any]) -> list[tuple[Any, Any]]:
    gaps = []
    for i, a in enumerate(ours):
        for j, b in enumerate(theirs):
            for name, other in (("t_impact_s", "t_impact_s"), ("t_impact_s", "near_s"), ("t_top_s", "t_top_s")):
                if isinstance(a.get(name), int | float) and isinstance(b.get(other), int | float):
                    gaps.append((abs(a[name] - b[other]), i, j))
                    break
    pairs, used_a, used_b = [], set(), set()
    for gap, i, j in sorted(gaps):
        if gap <= MATCH_S and i not in used_a and j not in used_b:
            pairs.append((ours[i], theirs[j]))
            used_a.add(i)
            used_b.add(j)
    return pairs


def say(result: Mapping[str, Any]) -> list[Message]:
    """The errors in a few lines."""
    lines = [
        Message("swing.compared", matched=result["matched"], missed=result["missed"], too_many=result["found_too_many"])
    ]
    for name, values in result["errors"].items():
        lines.append(
            Message(
                "swing.compared_field",
                name=name,
                middle=sorted(abs(v) for v in values)[len(values) // 2],
                worst=max(values, key=abs),
                held_share=result["within_doubt"][name],
                count=len(values),
            )
        )
    return lines

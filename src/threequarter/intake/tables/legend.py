"""Legends: "1 = waist, 2 = chest" or "green = 54" beside a table says what its labels stand for."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any, Final

from threequarter.golf.ball import Ball
from threequarter.golf.club import parse_club
from threequarter.intake.tables.context import Draft
from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.lines import is_club

LEAST: Final = 2
"""Labels that a legend must explain before it is one."""
_PAIR: Final = re.compile(
    r"(?:^|[,;|]\s*|\s{2,})(?P<key>[^=,;|]{1,20}?)\s*(?:=|→)\s*(?P<value>[^=,;|→]{1,40}?)(?=$|[,;|]|\s{2,})"
)
_ROLES: Final = ("club", "swing", "player")


def legend_of(cells: Iterable[str]) -> dict[str, str]:
    """What labels stand for, folded label -> meaning; a label with two meanings is left out."""
    found: dict[str, str] = {}
    twice: set[str] = set()
    for cell in cells:
        for match in _PAIR.finditer(cell.strip().strip("()[]")):
            key, value = fold(match["key"].split(":")[-1].strip()), match["value"].strip()
            if found.setdefault(key, value) != value:
                twice.add(key)
    return {key: value for key, value in found.items() if key and key not in twice}


def explained(drafts: Sequence[Draft], legend: dict[str, str]) -> tuple[list[Draft], dict[str, str]]:
    """The drafts with what their labels stand for, and the part of the legend that was used.

    A role is explained where the legend knows at least two of its labels, or its only one; labels of two roles that look
    alike are left as they are.
    """
    by_role = {}
    for role in _ROLES:
        labels = {fold(text) for draft in drafts if (text := getattr(draft.ball, role))}
        known = labels & legend.keys()
        if known and (len(known) >= LEAST or known == labels):
            by_role[role] = known
    if len(by_role) > 1 and any(a & b for a in by_role.values() for b in by_role.values() if a is not b):
        return list(drafts), {}
    for role in [r for r, known in by_role.items() if len({fold(legend[key]) for key in known}) < len(known)]:
        del by_role[role]  # two labels would become one
    if "club" in by_role and not all(is_club(legend[key]) for key in by_role["club"]):
        del by_role["club"]
    used = {key: legend[key] for known in by_role.values() for key in known}
    return [replace(draft, ball=_explained(draft.ball, legend, by_role)) for draft in drafts], used


def _explained(ball: Ball, legend: dict[str, str], by_role: dict[str, set[str]]) -> Ball:
    new: dict[str, Any] = {}
    for role, known in by_role.items():
        text = getattr(ball, role)
        if text and fold(text) in known:
            new[role] = legend[fold(text)]
    if "club" in new and ball.loft_deg is None:
        return replace(ball, **new, loft_deg=parse_club(new["club"]).loft_deg)
    return replace(ball, **new) if new else ball

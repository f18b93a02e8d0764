"""What each column of words is: the heading and what stands in the cells have to agree, or one is silent and the other clear."""

import re
from collections.abc import Mapping, Sequence, Set
from itertools import pairwise
from typing import Final

from threequarter.intake.tables.column import MEASURES, Column
from threequarter.intake.tables.decide import SAID, Decision
from threequarter.intake.tables.labels import MANY_SWINGS, Labels, two_sided

_FIT: Final[dict[str, frozenset[str]]] = {
    "club": frozenset(("club", "lofts", "own", "pair", "letters", "remark")),
    "swing": frozenset(("swing", "own", "pair", "letters", "numbers", "mark", "remark")),
    "player": frozenset(("names", "own", "letters", "numbers", "remark")),
    "shot_label": frozenset(("pair", "swing", "club", "lofts", "own", "remark", "numbers", "names", "letters")),
    "side_word": frozenset(("side",)),
    "use": frozenset(("mark", "own", "remark", "letters")),
    "drop": frozenset(("mark", "own", "remark", "letters")),
    "note": frozenset(("remark", "own", "names", "mark", "letters", "numbers", "side")),
}
"""Role by heading -> what its cells may look like."""


def look_of(labels: Labels) -> str:
    """What the cells look like: pair, club, lofts, swing, side, mark, remark, names, numbers, letters or own (anything else)."""
    column = labels.column
    if labels.pair >= 0.8 and labels.club < 0.8:
        return "pair"
    if labels.lofts >= 0.8 and labels.different <= 14:
        return "lofts"
    if labels.side >= 0.9 and labels.different <= 4 and labels.club < 1.0:
        return "side"
    if labels.club >= 0.8 and labels.different <= 16:
        return "letters" if all(len(text) == 1 for text in labels.texts) else "club"
    if labels.swing >= 0.8 and labels.different <= MANY_SWINGS:
        return "swing"
    if labels.marks >= 0.9 and labels.different <= 3:
        return "mark"
    if labels.coverage < 0.5 or (labels.rows > 8 and labels.different > 0.5 * labels.rows) or labels.remarks > 0.3:
        return "remark"
    if labels.names >= 0.8:
        return "names"
    return "numbers" if column.numeric else "own"


def is_label(column: Column) -> bool:
    """Whether a column may hold labels: words; or a few numbers again and again, or under a heading that names a label."""
    if not column.filled:
        return False
    if not column.numeric or column.words.best in ("club", "swing", "player", "shot_label"):
        return True
    if column.words.best in _FIT and column.whole:
        return True
    labels = Labels(column=column)
    if labels.different > 8 or column.words.best not in (None, "loft"):
        marked = all(not text.replace(".", "").isdigit() for text in labels.texts)
        return labels.grouped and (labels.swing >= 0.99 or (labels.club >= 0.99 and marked))
    return labels.swing >= 0.99 or labels.club >= 0.99 or _codes(labels)


def _codes(labels: Labels) -> bool:
    """A few whole numbers again and again that are no round targets: 1, 2, 3 for three swings or three wedges."""
    column = labels.column
    few = labels.rows >= 3 * labels.different and labels.different > 1
    if column.unit is not None and column.unit[0] != "angle":
        return False  # what is measured in metres names nothing
    return few and column.whole and not all(number % 5 == 0 for number in column.numbers)


def decide_labels(columns: Sequence[Column], fixed: Mapping[int, str], known: Mapping[str, bool]) -> Decision:
    """The columns of words. `known` tells which of club, swing and player the lines around the table tell."""
    told = Decision(roles=dict(fixed))
    held = {c.at: Labels(column=c) for c in columns if is_label(c) and c.at not in fixed}
    looks = {at: look_of(labels) for at, labels in held.items()}
    named = {role for role in fixed.values() if role in ("club", "swing", "player")}
    headed = {labels.column.words.best for labels in held.values()}
    for at, labels in held.items():
        if looks[at] in headed and _a_few_remarks(labels):
            told.roles[at] = "note"  # "full" beside one ball, where another column tells the swing
        else:
            _by_heading(told, labels, looks[at], named)
    for role in ("club", "swing", "player"):
        _only_one(told, held, looks, role)
    open_ = []
    for at, labels in held.items():
        if at not in told.roles and at not in told.ignored and not any(at in places for places in told.asked.values()):
            open_ += [at] if _by_cells(told, labels, looks[at], known) else []
    _ask_for_labels(told, held, looks, open_, known)
    return told


def _ask_for_labels(
    told: Decision,
    held: Mapping[int, Labels],
    looks: Mapping[int, str],
    open_: Sequence[int],
    known: Mapping[str, bool],
) -> None:
    """Columns that share out the balls and that nothing explains: which of them is the club, the swing, the player?"""
    has = set(told.roles.values()) | set(told.asked)
    both = "shot_label" in has
    missing = {
        "club": not ("club" in has or both or known["club"]),
        "swing": not ("swing" in has or both or known["swing"]),
        "player": not ("player" in has or known["player"]),
    }
    for at in open_:
        for role, look in (("club", "club"), ("swing", "swing"), ("player", "names")):
            now = next((place for place, found in told.roles.items() if found == role and place in held), None)
            if looks[at] == look and now is not None and looks[now] not in (look, "lofts"):
                told.ask(role, at, now)
                told.belied.add(now)
    people = [at for at in open_ if looks[at] == "names"]
    others = [at for at in open_ if at not in people]
    shots = [role for role in ("club", "swing") if missing[role]]
    for role in shots:
        if others:
            told.ask(role, *others)
    if missing["player"] and (people or len(others) > len(shots)):
        told.ask("player", *(people or others))
    for at in open_:
        if not any(at in places for places in told.asked.values()):
            told.roles[at] = "note"


def _by_heading(told: Decision, labels: Labels, look: str, named: Set[str]) -> None:
    """A column whose heading names a role that its cells may have."""
    column = labels.column
    said = column.words.best
    if said is None or column.words.roles[said] < SAID or said in named:
        return  # a person said that another column is that: what this one is its cells must tell
    if (
        said in MEASURES
        and look != "side"
        and column.words.roles[said] >= 3
        and not column.numeric
        and column.kinds["n"] < 0.2 * column.filled
    ):
        told.belied.add(column.at)
    if said in ("offline", "side_word") and look != "side" and two_sided(labels):
        told.ask("offline", column.at)
    elif said == "shot_label":
        _shot(told, labels, look)
    elif said in ("offline", "side_word") and look == "side":
        told.roles[column.at] = "side_word"
    elif said == "loft" and look in ("lofts", "club"):
        told.roles[column.at] = "loft"
    elif said in _FIT:
        if said == "swing" and _too_many(labels):
            told.ask("swing", column.at)
        elif _belied(labels, said) or (
            look == "remark" and said in ("club", "player") and labels.different > max(6, 0.5 * labels.rows)
        ):
            _swapped(told, column.at, said, look)
        elif look in _FIT[said] or (said == "club" and labels.club > 0.3):
            told.roles[column.at] = "shot_label" if look == "pair" and said in ("club", "swing") else said
        elif said == "number" or labels.counts_on:
            told.ignored[column.at] = "number"
        elif said in ("club", "swing", "player"):
            _swapped(told, column.at, said, look)
        elif said == "note":
            told.ask("swing" if look in ("swing", "pair") else "club", column.at)
    elif said == "time" and clock_swing(labels):
        _clock_points(told, labels)
    elif _borne_out(labels, said, look):
        told.ignored[column.at] = said


def _a_few_remarks(labels: Labels) -> bool:
    """Whether a column headed as remarks has them beside few rows."""
    return labels.column.words.best == "note" and labels.column.words.roles["note"] >= SAID and labels.coverage < 0.5


def clock_swing(labels: Labels) -> bool:
    """Whether clock times are how far the arm goes: few, on the quarter hours, and each again and again."""
    times = [cell.strip() for cell in labels.column.cells if cell.strip()]
    quarter = [re.fullmatch(r"(0?[6-9]|1[0-2])[:.h](00|15|30|45)", text) is not None for text in times]
    return labels.grouped and labels.different <= 8 and bool(times) and all(quarter)


def _clock_points(told: Decision, labels: Labels) -> None:
    """A swing by the clock where a point comes back after another; times of day only go on, and are asked about."""
    cells = [cell for cell in labels.column.cells if cell.strip()]
    runs = 1 + sum(a != b for a, b in pairwise(cells))
    if runs > labels.different and "swing" not in told.roles.values():
        told.roles[labels.column.at] = "swing"
    else:
        told.ask("swing", labels.column.at)


def _swapped(told: Decision, at: int, said: str, look: str) -> None:
    """Headings that were put over the wrong columns: asks about the one and about what the cells look like."""
    told.ask(said, at)
    told.belied.add(at)
    looks_like = {"names": "player", "swing": "swing", "club": "club", "lofts": "club", "letters": "club"}.get(look)
    if looks_like is None and said in ("club", "swing"):
        looks_like = "swing" if said == "club" else "club"
    if looks_like and looks_like != said:
        told.ask(looks_like, at)


def _belied(labels: Labels, said: str) -> bool:
    """Whether the cells of a column with a label's heading look like those of another label, or of none."""
    if said == "club":
        return labels.club == 0 and labels.lofts == 0 and labels.swing > 0.3
    if said == "swing":
        return (labels.swing == 0 and labels.club > 0.5 and labels.lofts < 0.5) or (
            labels.counts_on and labels.different > 6
        )
    if said == "player":
        return labels.counts_on or (labels.column.numeric and not labels.column.whole) or labels.swing > 0.6
    return False


def _borne_out(labels: Labels, said: str, look: str) -> bool:
    """Whether the cells bear out a heading that names no label: dates, clock times, counted rows, what was hit from."""
    column = labels.column
    if said in ("time", "date"):
        return column.kinds["t"] + column.kinds["d"] > 0.8 * column.filled
    if said == "number":
        return labels.counts_on
    return said == "condition" and look in ("own", "remark", "names")


def _too_many(labels: Labels) -> bool:
    return labels.different > MANY_SWINGS and labels.different > 0.2 * labels.rows


def _shot(told: Decision, labels: Labels, look: str) -> None:
    at = labels.column.at
    if look == "pair" or labels.own_pair >= 0.8:
        told.roles[at] = "shot_label"
    elif labels.counts_on:
        told.ignored[at] = "number"
    elif look == "swing":
        told.roles[at] = "swing"
    elif look in ("club", "lofts"):
        told.roles[at] = "club"
    elif labels.grouped:
        told.ask("swing", at)
        told.ask("club", at)
    else:
        told.roles[at] = "note"


def _only_one(told: Decision, held: Mapping[int, Labels], looks: Mapping[int, str], role: str) -> None:
    """Of several columns for one label the one whose cells say so too; two such are a question."""
    named = [at for at, found in told.roles.items() if found == role and at in held]
    if len(named) < 2:
        return
    proper = {"club": ("club", "lofts"), "swing": ("swing",), "player": ("names",)}[role]
    strong = [at for at in named if looks[at] in proper] or named
    if len(strong) > 1 and not all(_same(held[strong[0]], held[at]) for at in strong[1:]):
        told.ask(role, *strong)
    for at in named:
        if at == strong[0]:
            continue
        del told.roles[at]
        if _told_by(held[strong[0]], held[at]):
            told.ignored[at] = "copy"
        elif held[at].grouped:  # headed alike, but it tells balls apart that the other does not
            told.ask("swing" if role == "club" else role, at)
        else:
            told.roles[at] = "note"


def _told_by(one: Labels, two: Labels) -> bool:
    """Whether the label of one column tells that of the other: then the other adds nothing."""
    pairs = set(zip(one.column.cells, two.column.cells, strict=True))
    return len(pairs) == len({a for a, _b in pairs})


def _same(one: Labels, two: Labels) -> bool:
    return all(a == b for a, b in zip(one.column.cells, two.column.cells, strict=True))


def _by_cells(told: Decision, labels: Labels, look: str, known: Mapping[str, bool]) -> bool:
    """A column whose heading says nothing that its cells bear out; True where nothing explains it."""
    column, has = labels.column, set(told.roles.values())
    at, both = column.at, "shot_label" in has
    silent = not any(role in _FIT for role in column.words.roles) and not (column.numeric and column.words.best)
    if labels.counts_on:
        told.ignored[at] = "number"
    elif two_sided(labels):
        told.ask("offline", at)
    elif look == "pair" and not (both or has & {"club", "swing"} or known["club"] or known["swing"]) and silent:
        told.roles[at] = "shot_label"
    elif (look == "club" or _lofts(labels, look)) and not both and "club" not in has and silent:
        told.roles[at] = "club"
    elif look == "swing" and not both and "swing" not in has and silent and (not _clock(column) or labels.grouped):
        told.roles[at] = "swing"
    elif look == "side" and "side_word" not in has and silent and labels.different == 2:
        told.roles[at] = "side_word"
    elif column.kinds["d"] > 0.6 * column.filled and not _fractions(labels, known):
        told.ignored[at] = "date"
    elif column.kinds["t"] > 0.6 * column.filled and not (
        labels.grouped and labels.swing > 0.8 and "swing" not in has and not both
    ):
        told.ignored[at] = "time"
    elif look == "mark" and labels.different <= 3 and not column.numeric:
        told.ask("rows", at) if labels.coverage < 1 or labels.different > 1 else told.ignored.setdefault(at, "constant")
    elif look == "remark" and not _sparse(labels):
        told.roles[at] = "note"
    elif labels.different == 1 and column.numeric and look != "lofts":
        told.ignored[at] = "constant"
    elif labels.different > 12 and labels.different > 0.3 * labels.rows:
        told.roles[at] = "note"
    else:
        return True
    return False


def _sparse(labels: Labels) -> bool:
    """Labels written once for a run of rows: the first row has one, and few are different."""
    cells = labels.column.cells
    return (
        bool(cells and cells[0].strip()) and labels.different <= 12 and labels.remarks < 0.3 and labels.coverage < 0.5
    )


def _lofts(labels: Labels, look: str) -> bool:
    """Lofts with their bounce: 52/12, 54.10."""
    return (
        look == "lofts" and any(len(text) > 4 for text in labels.texts) and all(len(text) > 3 for text in labels.texts)
    )


def _clock(column: Column) -> bool:
    return column.kinds["t"] > 0.5 * max(1, column.filled)


def _fractions(labels: Labels, known: Mapping[str, bool]) -> bool:
    """Dates that a spreadsheet made of 1/2 and 3/4."""
    return (
        labels.different >= 2 and not known["swing"] and set(labels.texts) <= {"1/2", "3/4", "1/1", "1/4", "2/3", "1/3"}
    )

"""What each column of words is: the heading and what stands in the cells have to agree, or one is silent and the other clear."""

from collections.abc import Mapping, Sequence
from typing import Final

from threequarter.intake.tables.column import Column
from threequarter.intake.tables.decide import SAID, Decision
from threequarter.intake.tables.labels import MANY_SWINGS, Labels

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
        return labels.swing >= 0.99 and labels.grouped
    return (
        labels.swing >= 0.99
        or labels.club >= 0.99
        or (column.whole and labels.rows >= 3 * labels.different and labels.different > 1)
    )


def decide_labels(columns: Sequence[Column], fixed: Mapping[int, str], known: Mapping[str, bool]) -> Decision:
    """The columns of words. `known` tells which of club, swing and player the lines around the table tell."""
    told = Decision(roles=dict(fixed))
    held = {c.at: Labels(column=c) for c in columns if is_label(c) and c.at not in fixed}
    looks = {at: look_of(labels) for at, labels in held.items()}
    for at, labels in held.items():
        _by_heading(told, labels, looks[at])
    for role in ("club", "swing", "player"):
        _only_one(told, held, looks, role)
    for at, labels in held.items():
        if at not in told.roles and at not in told.ignored and not any(at in places for places in told.asked.values()):
            _by_cells(told, labels, looks[at], known)
    return told


def _by_heading(told: Decision, labels: Labels, look: str) -> None:
    """A column whose heading names a role that its cells may have."""
    column = labels.column
    said = column.words.best
    if said is None or column.words.roles[said] < SAID:
        return
    if said == "shot_label":
        _shot(told, labels, look)
    elif said in ("offline", "side_word") and look == "side":
        told.roles[column.at] = "side_word"
    elif said == "loft" and look in ("lofts", "club"):
        told.roles[column.at] = "loft"
    elif said in _FIT:
        if said == "swing" and _too_many(labels):
            told.ask("swing", column.at)
        elif look in _FIT[said] or (said == "club" and labels.club > 0.3):
            told.roles[column.at] = "shot_label" if look == "pair" and said in ("club", "swing") else said
        elif said == "number" or labels.counts_on:
            told.ignored[column.at] = "number"
        elif said in ("club", "swing", "player"):
            told.ask(said, column.at)
        elif said == "note":
            told.ask("swing" if look in ("swing", "pair") else "club", column.at)
    elif _borne_out(labels, said, look):
        told.ignored[column.at] = said


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
        if at != strong[0]:
            del told.roles[at]
            told.ignored[at] = "copy"


def _same(one: Labels, two: Labels) -> bool:
    return all(a == b for a, b in zip(one.column.cells, two.column.cells, strict=True))


def _by_cells(told: Decision, labels: Labels, look: str, known: Mapping[str, bool]) -> None:
    """A column whose heading says nothing that its cells bear out."""
    column, has = labels.column, set(told.roles.values())
    silent = not any(role in _FIT for role in column.words.roles) and not (column.numeric and column.words.best)
    club = bool({"club", "shot_label"} & has) or known["club"]
    swing = bool({"swing", "shot_label"} & has) or known["swing"]
    if labels.counts_on:
        told.ignored[column.at] = "number"
    elif look == "pair" and not club and not swing and silent:
        told.roles[column.at] = "shot_label"
    elif (look == "club" or _lofts(labels, look)) and not ({"club", "shot_label"} & has) and silent:
        told.roles[column.at] = "club"
    elif look == "swing" and not ({"swing", "shot_label"} & has) and silent and (not _clock(column) or labels.grouped):
        told.roles[column.at] = "swing"
    elif look == "side" and "side_word" not in has and silent and labels.different == 2:
        told.roles[column.at] = "side_word"
    elif column.kinds["d"] > 0.6 * column.filled:
        _dates(told, labels, swing)
    elif column.kinds["t"] > 0.6 * column.filled:
        told.ignored[column.at] = "time"
    elif labels.different == 1 and labels.coverage > 0.5:
        _constant(told, labels, look, known)
    else:
        _unnamed(told, labels, look, club=club, swing=swing, player="player" in has or known["player"])


def _lofts(labels: Labels, look: str) -> bool:
    """Lofts with their bounce: 52/12, 54.10."""
    return (
        look == "lofts" and any(len(text) > 4 for text in labels.texts) and all(len(text) > 3 for text in labels.texts)
    )


def _clock(column: Column) -> bool:
    return column.kinds["t"] > 0.5 * max(1, column.filled)


def _dates(told: Decision, labels: Labels, swing: bool) -> None:
    """Dates; a spreadsheet's 1/2 and 3/4 became dates too."""
    fractions = {"1/2", "3/4", "1/1", "1/4", "2/3", "1/3"}
    if not swing and labels.different >= 2 and set(labels.texts) <= fractions:
        told.ask("swing", labels.column.at)
    else:
        told.ignored[labels.column.at] = "date"


def _constant(told: Decision, labels: Labels, look: str, known: Mapping[str, bool]) -> None:
    has = set(told.roles.values())
    at = labels.column.at
    if look == "names" and "player" not in has and not known["player"] and labels.column.words.best is None:
        told.ask("player", at)
    elif look in ("club", "lofts", "letters") and not ({"club", "shot_label"} & has) and not known["club"]:
        told.ask("club", at)
    elif look == "swing" and not ({"swing", "shot_label"} & has) and not known["swing"]:
        told.ask("swing", at)
    else:
        told.ignored[at] = "constant"


def _unnamed(told: Decision, labels: Labels, look: str, *, club: bool, swing: bool, player: bool) -> None:
    """A label column that nothing explains: asked about where a few texts share out the balls, else a remark."""
    at = labels.column.at
    if look == "mark" and labels.different >= 1:
        told.ask("rows", at)
    elif look == "remark":
        told.roles[at] = "note"
    elif look in ("lofts", "club", "letters"):
        told.ask("club", at) if not club else told.ignored.setdefault(at, "no_role")
    elif look in ("pair", "swing"):
        told.ask("swing", at) if not swing or labels.grouped else told.ignored.setdefault(at, "no_role")
    elif labels.different >= 2 and (labels.grouped or labels.coverage > 0.6) and labels.different <= 10:
        if look == "names" and not player:
            told.ask("player", at)
        elif not swing:
            told.ask("swing", at)
        elif not player and look != "numbers":
            told.ask("player", at)
        else:
            told.roles[at] = "note"
    else:
        told.roles[at] = "note"

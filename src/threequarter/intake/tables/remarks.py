"""What a remark beside a ball tells that may speak against what was read of it: another club, swing, unit or number, or that
the ball was none."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from threequarter.golf.ball import Ball
from threequarter.golf.club import LOFT_PRIOR_DEG, LOFT_RANGE_DEG, parse_club
from threequarter.golf.swing_length import LEVEL_WORDS, REACH, parse_swing
from threequarter.intake.tables import words
from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.units import ANGLES, LENGTHS_M, unit_of
from threequarter.intake.tables.values import NOTE_READ, strike_of

AS_FAR: Final = (0.5, 2.0)
"""A number without a unit in a remark is one more carry where it is so far, as a share of the one that was read."""
LEAST_FAR: Final = 20
"""A length in a remark that is shorter tells of a side, a depth, a run, not of how far the ball flew."""
OTHER_LOFT_DEG: Final = 3.0
"""A club by name and a loft are two clubs where the usual loft of the name is so far off."""
_WHOLE: Final = 4
"""Words of so few letters count only as whole words."""
_JOINED: Final = 0x0E00
"""From here on scripts write without blanks between words."""
_NUMBER: Final = re.compile(r"(?<![\w.,:/\-+])(\d{2,3}(?:[.,]\d)?)\s*(°|º|er\b|[^\W\d]+|%|/)?(?![\d:])")
_OF_A_CLUB: Final = ANGLES | {"º", "er"}
_IRON: Final = re.compile(
    r"(?<![\w.,])[2-9]\s*-?\s*(?:i|iron|er[\s-]?eisen|eisen|fer|hierro|ferro|ijzer|järn|jern|rauta|番アイアン|번 아이언)(?!\w)|(?<!\w)(?:driver|putter|hybrid)(?!\w)"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """What a remark tells. `numbers` are each with the unit of length behind it and whether a word makes it a loft; `units` those
    that are named without a number; `swings` what it names, `rather` whether a word says that it was so instead."""

    plain: str
    doubtful: bool = False
    numbers: tuple[tuple[float, float | None, bool], ...] = ()
    units: frozenset[float] = frozenset()
    swings: frozenset[str] = frozenset()
    levels: frozenset[str] = frozenset()
    kinds: frozenset[str] = frozenset()
    iron: bool = False
    rather: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Shots:
    """The labels of a table's balls, folded."""

    clubs: frozenset[str]
    lofts: frozenset[float]
    swings: frozenset[str]

    @classmethod
    def of(cls, balls: Iterable[Ball]) -> "Shots":
        """Of these balls."""
        told = {(ball.club, ball.swing, ball.loft_deg) for ball in balls}
        return cls(
            clubs=frozenset(fold(club) for club, _swing, _loft in told if club),
            lofts=frozenset(loft for _club, _swing, loft in told if loft is not None),
            swings=frozenset(fold(swing) for _club, swing, _loft in told if swing),
        )


def _pattern(told: Sequence[str]) -> re.Pattern[str]:
    """Any of these words: short ones whole, longer ones also as the beginning of a word."""
    parts = []
    for entry in sorted(told, key=len, reverse=True):
        word = fold(entry.removeprefix("="))
        if ord(word[0]) >= _JOINED:
            parts.append(re.escape(word))
        else:
            whole = entry.startswith("=") or len(word) <= _WHOLE
            parts.append(rf"(?<!\w){re.escape(word)}" + (r"(?!\w)" if whole else ""))
    return re.compile("|".join(parts))


def _whole(told: Sequence[str]) -> re.Pattern[str]:
    """Any of these as whole words."""
    return _pattern([entry if entry.startswith("=") else f"={entry}" for entry in told])


_DOUBTFUL: Final = _pattern(words.DOUBTFUL)
_RATHER: Final = _whole(words.RATHER)
_SWINGS: Final = {kind: _pattern(told) for kind, told in words.REMARKED_SWINGS.items()}
_LEVELS: Final = {level: _whole(told) for level, told in LEVEL_WORDS.items() if level != "full"}
_KINDS: Final = {name: kind for kind, told in words.WEDGES.items() for name in told}
_KIND: Final = _whole(tuple(_KINDS))
_REACH: Final = {"full": 1.0, "three_quarter": 0.75, "half": 0.5}


@lru_cache(maxsize=8192)
def remark_of(text: str) -> Remark:
    """What a remark tells."""
    plain = fold(text[:NOTE_READ])
    return Remark(
        plain=plain,
        doubtful=_DOUBTFUL.search(plain) is not None or plain.strip() in ("?", "??"),
        numbers=tuple(_numbers(plain)),
        units=frozenset(_units(plain)),
        swings=frozenset(swings_in(plain)),
        levels=frozenset(level for level, pattern in _LEVELS.items() if pattern.search(plain)),
        kinds=frozenset(_KINDS[found] for found in _KIND.findall(plain)),
        iron=_IRON.search(plain) is not None,
        rather=_RATHER.search(plain) is not None,
    )


def _numbers(plain: str) -> Iterable[tuple[float, float | None, bool]]:
    for match in _NUMBER.finditer(plain):
        behind = match[2] or ""
        unit = unit_of(behind) if behind else None
        if (
            (unit and unit[0] != "length")
            or behind
            in (
                "%",
                "/",
                "c",
                "f",
                "s",
                "sec",
                "min",
                "kmh",
                "km",
                "mph",
                "uhr",
                "h",
            )
        ) and behind not in _OF_A_CLUB:
            continue
        before = plain[: match.start()].split()[-1:]
        if before and before[0].strip(":(") in words.AIMED and behind not in _OF_A_CLUB:
            continue
        yield float(match[1].replace(",", ".")), unit[1] if unit and unit[0] == "length" else None, behind in _OF_A_CLUB


def _units(plain: str) -> Iterable[float]:
    """Units of length that are words, and have no number before them."""
    for match in re.finditer(r"(\d\s*)?([^\W\d_]{3,})", plain):
        unit = None if match[1] else unit_of(match[2])
        if (
            unit
            and unit[0] == "length"
            and unit[1] in (1.0, LENGTHS_M["yd"], LENGTHS_M["ft"])
            and match[2] not in ("vol", "pie")
        ):
            yield unit[1]
    for word in ("ヤード", "メートル", "フィート", "야드", "미터", "码", "米"):
        if re.search(rf"(?<!\d){word}", plain):
            yield LENGTHS_M[word]


@lru_cache(maxsize=4096)
def swings_in(plain: str) -> frozenset[str]:
    """The swings that a folded text names: full, half, three_quarter."""
    found, rest = [], plain
    for kind in ("three_quarter", "half", "full"):
        if _SWINGS[kind].search(rest):
            found.append(kind)
            rest = _SWINGS[kind].sub(" ", rest)
    return frozenset(found)


def against(remark: Remark, ball: Ball, unit_m: float, shots: Shots) -> str | None:
    """What of a ball a remark speaks against: club, swing, unit, number, or (doubt) that it is a ball; None where it does not."""
    if remark.doubtful:
        return "doubt"
    if _another_club(remark, ball, shots):
        return "club"
    if _another_swing(remark, ball, shots):
        return "swing"
    far = [(value, unit) for value, unit, loft in remark.numbers if not loft and value >= LEAST_FAR]
    if any(abs(unit - unit_m) > 1e-6 for unit in (*remark.units, *(u for _value, u in far if u is not None))):
        return "unit"
    read = ball.distance_m / unit_m
    if any(
        AS_FAR[0] * read < value < AS_FAR[1] * read and abs(value - read) > 0.5 and value != ball.loft_deg
        for value, _unit in far
    ):
        return "number"
    return None


def _another_club(remark: Remark, ball: Ball, shots: Shots) -> bool:
    mine = ball.loft_deg if ball.loft_deg is not None else parse_club(ball.club).loft_deg
    low, high = LOFT_RANGE_DEG
    for value, unit, loft in remark.numbers:
        if unit is None and value != mine and (value in shots.lofts or (loft and low <= value <= high)):
            return True
    kind = parse_club(ball.club).kind
    for told in remark.kinds:
        usual = LOFT_PRIOR_DEG[told][0]  # type: ignore[index]
        if (kind is not None and kind != told) or (
            kind is None and mine is not None and abs(mine - usual) > OTHER_LOFT_DEG
        ):
            return True
    own = fold(ball.club)
    named = (club for club in shots.clubs if club != own and club not in own and len(re.sub(r"[\W\d_]", "", club)) > 1)
    return remark.iron or any(_names(remark.plain, club) for club in named)


def _another_swing(remark: Remark, ball: Ball, shots: Shots) -> bool:
    own = fold(ball.swing)
    if not own:
        return False
    named = [swing for swing in shots.swings if swing != own and swing not in own and _label(swing)]
    alone = remark.rather or strike_of(remark.plain) is None
    for swing in named:
        level = parse_swing(swing).kind == "level"
        if _names(remark.plain, swing) and (
            alone if not level else remark.rather or remark.plain.strip(" .!") == swing
        ):
            return True
    mine, reach = swings_in(own), parse_swing(ball.swing).reach
    others = {kind for kind in remark.swings - mine if reach is None or abs(_REACH[kind] - reach) > 0.01}
    if others and (remark.rather or _only_swing(remark.plain) or not _graded(remark.plain)):
        return True
    bodies = {level for level in remark.levels if REACH[level] != reach}
    return bool(bodies) and reach is not None and (remark.rather or len(remark.plain.split()) == 1)


def _label(swing: str) -> bool:
    """Whether a swing's label is a word that stands for nothing else, or a clock time with its mark."""
    return sum(letter.isalpha() for letter in swing) > 2 or ":" in swing or "/" in swing or ord(swing[0]) > _JOINED


def _graded(plain: str) -> bool:
    """Whether a swing's word more likely says how much: "voll getroffen", "half thin"."""
    return (
        strike_of(plain) is not None
        or len(plain.split()) > 4
        or re.match(r"(?:voll|ganz|vol|hel|full|half|halb|half)\s", plain) is not None
    )


def _only_swing(plain: str) -> bool:
    rest = plain
    for pattern in (*_SWINGS.values(), re.compile(r"\b(?:swing|sving|schwung|zwaai|zamach|balanço|švih|\W)+\b")):
        rest = pattern.sub(" ", rest)
    return not rest.strip(" .!?,")


def _names(plain: str, label: str) -> bool:
    if ord(label[0]) >= _JOINED:
        return label in plain
    return re.search(rf"(?<![\w:/]){re.escape(label)}(?![\w:/])", plain) is not None

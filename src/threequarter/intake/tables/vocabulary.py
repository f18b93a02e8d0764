"""What the words of a heading say about its column: the first witness, apart from the values under it.

The words are data (`vocabulary.toml`). Scores are log odds with a cap: 4 for words that name a role and nothing else,
less for words that are misspelt, shortened, or stand beside words that are not known.
"""

import re
import tomllib
import unicodedata
from dataclasses import dataclass, field
from functools import lru_cache
from importlib.resources import files
from typing import Final

from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.units import LONGEST_HEADING, Quantity, split_heading

CAP: Final = 4.0
"""Most that words can say, in log odds: 55 to 1."""
SHORTENED: Final = 1.0
UNKNOWN_BESIDE: Final = 0.9
"""Taken off for a word that is a guess at a known one, and for each unknown word beside it."""
LONGEST_WORD: Final = 40
_DATA: Final = tomllib.loads(
    files("threequarter.intake.tables").joinpath("vocabulary.toml").read_text(encoding="utf-8")
)
ALPHABETS: Final = tuple(
    word
    for languages in _DATA["concepts"].values()
    for told in languages.values()
    for word in told
    if len(word) > 2 and any(0x370 <= ord(letter) <= 0x2E80 for letter in word)
)
"""The words that are written in letters other than Latin, but in letters: from Greek to Thai."""
PHRASES: Final[dict[str, tuple[str, ...]]] = {role: tuple(words) for role, words in _DATA["phrases"].items()}
"""Role -> whole headings."""
_PLAIN_ROLES: Final = ("player", "number", "date", "note", "use", "drop", "count", "pile", "shot_label")


@dataclass(frozen=True, slots=True)
class Words:
    """What a heading says: log odds by role, its unit, and its name without the unit."""

    roles: dict[str, float] = field(default_factory=dict)
    unit: tuple[Quantity, float] | None = None
    name: str = ""

    @property
    def best(self) -> str | None:
        """The role the words rank first; None where they say nothing."""
        return max(self.roles, key=lambda role: self.roles[role]) if self.roles else None


def bare(text: str) -> str:
    """Folded, without accents: ö is o, é is e; letters of other scripts stay."""
    apart = unicodedata.normalize(
        "NFD",
        fold(text)
        .replace("ß", "ss")
        .replace("ø", "o")
        .replace("æ", "ae")
        .replace("ł", "l")
        .replace("ı", "i")
        .replace("đ", "d"),
    )
    if not any("\u0300" <= letter <= "\u036f" for letter in apart):
        return unicodedata.normalize("NFC", apart)
    return unicodedata.normalize("NFC", "".join(letter for letter in apart if not "\u0300" <= letter <= "\u036f"))


def _far(text: str) -> bool:
    """Whether it is written without blanks between words (Chinese, Japanese, Korean)."""
    return any(ord(letter) > 0x2E80 for letter in text)


def _by_phrase() -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for role, phrases in PHRASES.items():
        for phrase in phrases:
            for form in {fold(phrase), bare(phrase)}:
                if role not in found.get(form, ()):
                    found[form] = (*found.get(form, ()), role)
    return found


def _by_word() -> tuple[dict[str, frozenset[str]], dict[str, frozenset[str]]]:
    """Concepts by single word, and by words that hold a blank or a sign."""
    single: dict[str, set[str]] = {}
    several: dict[str, set[str]] = {}
    for concept, languages in _DATA["concepts"].items():
        for words in languages.values():
            for word in words:
                form = bare(word)
                (single if re.fullmatch(r"\w+", form) else several).setdefault(form, set()).add(concept)
    for role in _PLAIN_ROLES:
        for word in PHRASES[role]:
            form = bare(word)
            if re.fullmatch(r"\w+", form) and form not in single:
                single.setdefault(form, set()).add(role)
    return ({w: frozenset(c) for w, c in single.items()}, {w: frozenset(c) for w, c in several.items()})


_PHRASE: Final = _by_phrase()
_WORD, _SEVERAL = _by_word()
_LONGEST_FIRST: Final = [
    (phrase, phrase if _far(phrase) else f" {phrase} ", _SEVERAL[phrase])
    for phrase in sorted(_SEVERAL, key=len, reverse=True)
]
_INSIDE: Final = sorted(
    (
        w
        for w, c in _WORD.items()
        if ((len(w) >= 4 or _far(w)) and not c & set(_PLAIN_ROLES)) or (_far(w) and len(w) > 1)
    ),
    key=len,
    reverse=True,
)
_SKELETONS: Final = {re.sub("[aeiou]", "", w): w for w in _WORD if w.isascii() and len(w) >= 4}
"""Words without their vowels, as people shorten them: clb, swng."""


@lru_cache(maxsize=8192)
def words_of(heading: str) -> Words:
    """What a heading says, its unit among it: "Ball (km/h)" is a speed."""
    told = _words_of(heading)
    if told.unit is None:
        return told
    kind, roles = told.unit[0], told.roles
    if kind == "speed" and not {"ball_speed", "club_speed", "wind"} & set(roles):
        if {"club", "swing"} & set(roles):
            return Words({"club_speed": 3.5}, told.unit, told.name)
        if {"number", "count"} & set(roles) or "launch" in roles:
            return Words({"ball_speed": 3.5}, told.unit, told.name)
        return Words({"ball_speed": 1.5, "club_speed": 1.2}, told.unit, told.name)
    if kind == "spin" and not {"spin", "spin_axis"} & set(roles):
        return Words({"spin": 3.0}, told.unit, told.name)
    if kind == "length" and told.best in ("club", "swing", "number", "count", "player"):
        return Words({}, told.unit, told.name)
    return told


def _words_of(heading: str) -> Words:
    if not heading.strip():
        return Words()
    name, unit = split_heading(heading)
    raw = fold(heading[:LONGEST_HEADING]).strip(" :*")
    for text in (
        raw,
        name,
        re.sub(r"\s*[(\[][^)\]]*[)\]]", "", name).strip(),
        re.sub(r"[-.]", " ", name).strip(),
        name.replace(".", "").strip(),
    ):
        for form in (text, bare(text)):
            if roles := _PHRASE.get(form):
                return Words({role: CAP if len(roles) == 1 else CAP - 1 for role in roles}, unit, name)
    concepts, missed, guessed = _concepts(bare(name))
    scores = {
        role: score - SHORTENED * guessed - UNKNOWN_BESIDE * missed for role, score in _roles(concepts, name).items()
    }
    return Words({role: score for role, score in scores.items() if score > 0}, unit, name)


def _concepts(text: str) -> tuple[frozenset[str], int, int]:
    """The concepts of a heading, how many words are not known, and how many only by a guess."""
    found: set[str] = set()
    padded = f" {re.sub(r'[_.,;:()]', ' ', text)} "
    padded = re.sub(r"\s+", " ", padded)
    for phrase, alone, concepts in _LONGEST_FIRST:
        if alone in padded:
            found |= concepts
            padded = padded.replace(phrase, " ", 1)
    missed = guessed = 0
    for token in re.findall(r"[^\W\d_]+", padded)[:12]:
        if told := _WORD.get(token):
            found |= told
        elif inside := _inside(token):
            found |= inside[0]
            missed += inside[1]
        elif guess := _guess(token, shortened=f"{token}." in text):
            found |= guess
            guessed += 1
        elif len(token) > 2 and not _far(token):
            missed += 1
    return frozenset(found), missed, guessed


@lru_cache(maxsize=4096)
def _inside(token: str) -> tuple[frozenset[str], int] | None:
    """The concepts of the words that make up a longer one, and 1 where much of it stays unknown."""
    if len(token) > LONGEST_WORD:
        return None
    rest, found = token, set[str]()
    for word in _INSIDE:
        if len(word) <= len(rest) and word in rest:
            found |= _WORD[word]
            rest = rest.replace(word, " ", 1)
    left = len(rest.replace(" ", ""))
    if not found or left > 0.5 * len(token) + 1:
        return None
    return frozenset(found), int(left > 5)


@lru_cache(maxsize=4096)
def _guess(token: str, *, shortened: bool) -> frozenset[str] | None:
    """What a misspelt or shortened word most likely is."""
    if not 3 <= len(token) <= LONGEST_WORD or _far(token):
        return None
    if token in _SKELETONS:
        return _WORD[_SKELETONS[token]]
    if shortened or len(token) >= 4:
        begun = [_WORD[word] for word in _WORD if word.startswith(token)]
        if begun and all(one == begun[0] for one in begun) and (shortened or len(token) >= 5):
            return begun[0]
    if len(token) < 4:
        return None
    if len(token) == 4:  # so short a word only where a letter was left out: cary, sving
        left_out = [w for w in _WORD if len(w) == 5 and w[0] == token[0] and _apart(w, token, 1) == 1]
        return _WORD[left_out[0]] if left_out else None
    near = [w for w in _WORD if len(w) >= 4 and abs(len(w) - len(token)) <= 2 and w[0] == token[0]]
    most = 1 if len(token) < 9 else 2
    close = [word for word in near if _apart(word, token, most) <= most]
    if not close:
        return None
    best = min(close, key=lambda word: _apart(word, token, most))
    return _WORD[best]


def _apart(one: str, two: str, most: int) -> int:
    """Letters put in, left out, changed or swapped (Damerau 1964), up to a bound."""
    if abs(len(one) - len(two)) > most:
        return most + 1
    before: list[int] = []
    last = list(range(len(two) + 1))
    for i, a in enumerate(one, start=1):
        row = [i]
        for j, b in enumerate(two, start=1):
            cost = min(last[j] + 1, row[j - 1] + 1, last[j - 1] + (a != b))
            if i > 1 and j > 1 and a == two[j - 2] and one[i - 2] == b:
                cost = min(cost, before[j - 2] + 1)
            row.append(cost)
        before, last = last, row
    return last[-1]


def _roles(found: frozenset[str], name: str) -> dict[str, float]:
    """Roles of several concepts together; words that count against a role come first."""
    for needed, roles in _RULES:
        if needed <= found:
            return dict(roles)
    if {"carry", "total"} <= found or {"carry", "roll"} <= found:
        joined = (
            bool(re.search(r"[+&]|\band\b|\bwith\b|\bund\b|\bmit\b|\bet\b|\by\b|\be\b|\boch\b|\ben\b", name))
            or "roll" in found
        )
        return {"total": CAP} if joined else {"total": 2.0, "carry": 1.5}
    return next((dict(roles) for needed, roles in _LATER if needed <= found), {})


_Rule = tuple[frozenset[str], dict[str, float]]


def _rule(words: str, **roles: float) -> _Rule:
    return frozenset(words.split()), roles


_RULES: Final[tuple[_Rule, ...]] = (
    _rule("last", last=CAP),
    _rule("deviation mean", deviation=CAP),
    _rule("mean height", height=3.0, average=1.0),
    _rule("mean", average=CAP),
    _rule("rank swing", swing=3.0),
    _rule("rank club", club=2.0),
    _rule("rank", rank=CAP),
    _rule("ratio", ratio=CAP),
    _rule("axis", spin_axis=CAP),
    _rule("spin side", spin_axis=CAP),
    _rule("spin", spin=CAP),
    _rule("weather", wind=CAP),
    _rule("speed ball club", ball_speed=2.0, club_speed=2.0),
    _rule("speed ball", ball_speed=CAP),
    _rule("speed club", club_speed=CAP),
    _rule("speed swing", club_speed=CAP),
    _rule("speed launch", ball_speed=3.5),
    _rule("speed", ball_speed=1.5, club_speed=1.2),
    _rule("delivery", attack=3.5),
    _rule("angle side", attack=3.0),
    _rule("launch side", attack=3.0),
    _rule("angle launch", launch=CAP),
    _rule("angle descent", descent=CAP),
    _rule("angle loft", loft=CAP),
    _rule("angle swing", swing=2.0),
    _rule("angle", launch=1.5, descent=0.8),
    _rule("height", height=CAP),
    _rule("duration", time=CAP),
    _rule("deviation side carry", offline=2.5, deviation=1.5),
    _rule("deviation side", offline=3.5),
    _rule("deviation target", deviation=CAP),
    _rule("target side", offline=1.5, target=1.5),
    _rule("target", target=CAP),
    _rule("deviation carry", deviation=CAP),
    _rule("deviation distance", deviation=3.0, offline=0.5),
    _rule("deviation", deviation=2.5, offline=1.0),
    _rule("side swing", swing=3.0, offline=2.0),
    _rule("side", offline=CAP, side_word=2.0),
    _rule("condition", condition=3.0),
    _rule("launch carry", launch=1.5, carry=1.0),
    _rule("launch", launch=3.0),
)
_LATER: Final[tuple[_Rule, ...]] = (
    _rule("descent carry", carry=2.5, descent=1.0),
    _rule("descent distance", carry=2.5, descent=0.5),
    _rule("descent", descent=2.5, carry=0.5),
    _rule("roll", roll=CAP),
    _rule("total", total=CAP),
    _rule("loft", loft=CAP),
    _rule("pile", pile=CAP),
    _rule("carry club", carry=1.5),
    _rule("carry swing", carry=1.5),
    _rule("carry", carry=CAP),
    _rule("swing club", shot_label=3.5),
    _rule("swing", swing=CAP),
    _rule("player", player=CAP),
    _rule("club", club=CAP),
    _rule("shot_label", shot_label=3.0, number=1.0),
    _rule("drop", drop=CAP),
    _rule("note", note=CAP),
    _rule("date", date=CAP),
    _rule("ball distance", distance=2.5),
    _rule("distance", distance=3.0),
    _rule("length_unit", distance=1.2),
    _rule("count", count=3.0, number=1.0),
    _rule("number", number=CAP),
    _rule("ball", number=2.5, count=1.5),
    _rule("use", use=3.0),
)


@lru_cache(maxsize=8192)
def roles_of(heading: str) -> tuple[tuple[str, ...], tuple[Quantity, float] | None]:
    """Roles that a heading names well enough, likeliest first, and its unit."""
    told = words_of(heading)
    return tuple(sorted((r for r, s in told.roles.items() if s >= 1.5), key=lambda r: -told.roles[r])), told.unit

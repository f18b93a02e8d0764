"""Club labels as the trade writes them, in several languages, and what they tell about the loft."""

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

Kind = Literal["pitching", "gap", "sand", "lob"]

LOFT_RANGE_DEG: Final = (38.0, 70.0)
"""A number in this range in a club label is its loft; others (9 iron, bounce 10) are not."""

LOFT_PRIOR_DEG: Final[dict[Kind, tuple[float, float]]] = {
    "pitching": (46.0, 2.0),
    "gap": (51.0, 2.0),
    "sand": (55.5, 1.5),
    "lob": (59.5, 1.5),
}
"""Mean and SD of the loft by name, where the label tells no number. Common practice, no source."""

UNKNOWN_LOFT_DEG: Final = (53.0, 6.0)

_WORDS: Final[dict[Kind, tuple[str, ...]]] = {
    "pitching": (
        "pitching",
        "pitch",
        "pitchingwedge",
        "pitcher",
        "pw",
        "p",
        "ピッチング",
        "ピッチングウェッジ",
        "피칭",
        "피칭웨지",
        "劈起杆",
        "p杆",
    ),
    "gap": (
        "gap",
        "gapwedge",
        "approach",
        "approachwedge",
        "approche",
        "attack",
        "utility",
        "gw",
        "aw",
        "uw",
        "a",
        "g",
        "アプローチ",
        "アプローチウェッジ",
        "ギャップ",
        "ギャップウェッジ",
        "갭",
        "갭웨지",
        "어프로치",
        "a杆",
    ),
    "sand": (
        "sand",
        "sandwedge",
        "sable",
        "sabbia",
        "arena",
        "zand",
        "sw",
        "s",
        "サンド",
        "サンドウェッジ",
        "샌드",
        "샌드웨지",
        "沙杆",
        "沙坑杆",
        "s杆",
    ),
    "lob": ("lob", "lobwedge", "lobb", "lw", "l", "ロブ", "ロブウェッジ", "로브", "로브웨지", "高抛杆", "l杆"),
}
_KIND_OF: Final[dict[str, Kind]] = {word: kind for kind, words in _WORDS.items() for word in words}
_SHORT: Final[dict[Kind, str]] = {"pitching": "PW", "gap": "GW", "sand": "SW", "lob": "LW"}
GRIPPED_DOWN: Final = (
    "gripped down",
    "grip down",
    "gripping down",
    "choked down",
    "choke down",
    "short grip",
    "kurz gefasst",
    "kurz gegriffen",
    "griff kurz",
)
_NO_WORD = re.compile(r"[\d°º.,/\-()]+|degrees?|grad|degrés|gradi|grados|graden|grader|度|도")
_BOUNCE = re.compile(r"(?<!\d)(\d{2})\s*[./\-]\s*(\d{2})(?!\d)")
_NUMBER = re.compile(r"(?<![\d.,])(\d{2})(?:[.,](\d))?(?![\d.,]*\d)")


@dataclass(frozen=True, slots=True, kw_only=True)
class ClubLabel:
    """A club as written, and what its label tells: a kind by name, a loft, or neither."""

    label: str
    kind: Kind | None
    loft_deg: float | None

    @property
    def loft_prior_deg(self) -> tuple[float, float]:
        """Mean and SD of the loft for a chart: exact where told, by name where not, else very wide."""
        if self.loft_deg is not None:
            return self.loft_deg, 0.0
        return LOFT_PRIOR_DEG[self.kind] if self.kind else UNKNOWN_LOFT_DEG

    @property
    def known(self) -> bool:
        """Whether the label looks like a club at all."""
        return self.kind is not None or self.loft_deg is not None


@lru_cache(maxsize=4096)
def parse_club(label: str) -> ClubLabel:
    """What a label tells. `54`, `54°`, `SW 54`, `gap 50`, `54.10`, `54/10`, `54-10` (bounce 10), `sand wedge`, `S`.

    >>> parse_club("SW 54.10").loft_deg
    54.0
    """
    text = unicodedata.normalize("NFKC", str(label)).casefold().strip()
    return ClubLabel(label=str(label), kind=_kind(text), loft_deg=_loft_deg(text))


def _kind(text: str) -> Kind | None:
    words = _NO_WORD.sub(" ", text).split()
    joined = "".join(words)
    if joined in _KIND_OF:
        return _KIND_OF[joined]
    kinds = {_KIND_OF[word] for word in words if word in _KIND_OF and (len(word) > 1 or len(words) == 1)}
    return kinds.pop() if len(kinds) == 1 else None


def _loft_deg(text: str) -> float | None:
    for match in _BOUNCE.finditer(text):
        loft = float(match[1])
        if LOFT_RANGE_DEG[0] <= loft <= LOFT_RANGE_DEG[1]:
            return loft
    for match in _NUMBER.finditer(text):
        loft = float(f"{match[1]}.{match[2] or 0}")
        if LOFT_RANGE_DEG[0] <= loft <= LOFT_RANGE_DEG[1]:
            return loft
    return None


@lru_cache(maxsize=4096)
def grip_to_club(club: str, swing: str) -> tuple[str, str]:
    """A grip named before a swing length belongs to the club.

    >>> grip_to_club("54", "gripped down waist")
    ('54 gripped down', 'waist')
    """
    for words in GRIPPED_DOWN:
        rest = " ".join(re.sub(re.escape(words), " ", swing, flags=re.IGNORECASE).split())
        if rest and rest != " ".join(swing.split()):
            return (club if gripped_down(club) else f"{club} {words}"), rest
    return club, swing


def gripped_down(label: str) -> bool:
    """Whether a label says that the club is held lower down: a shot of its own, shorter than that of the same club held as usual.

    >>> gripped_down("54 gripped down"), gripped_down("54")
    (True, False)
    """
    text = " ".join(unicodedata.normalize("NFKC", str(label)).casefold().split())
    return any(words in text for words in GRIPPED_DOWN)


def club_key(label: str, loft_deg: float | None = None) -> str:
    """One key for all spellings of a club within a session: by loft where one is told, else by kind, else the label. Held lower
    down it is another.

    >>> club_key("54°") == club_key("SW 54") == club_key("54.10")
    True
    >>> club_key("54 gripped down") == club_key("54")
    False
    """
    return f"{_key(label, loft_deg)} down" if gripped_down(label) else _key(label, loft_deg)


def _key(label: str, loft_deg: float | None) -> str:
    parsed = parse_club(label)
    loft = loft_deg if loft_deg is not None else parsed.loft_deg
    if loft is not None:
        return f"{loft:g}"
    if parsed.kind:
        return _SHORT[parsed.kind]
    return re.sub(r"\s+", " ", unicodedata.normalize("NFKC", str(label)).casefold().strip())

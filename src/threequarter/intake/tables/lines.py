"""Lines that are no balls: titles, "Player: ...", section headings, means, remarks about units and sides."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from threequarter.golf.club import parse_club
from threequarter.golf.swing_length import parse_swing
from threequarter.intake.tables import words
from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.numbers import find_number
from threequarter.intake.tables.units import ANGLES, unit_in_line
from threequarter.intake.tables.vocabulary import roles_of

LABELS: Final = ("player", "club", "swing", "shot_label", "date")
_SENTENCE = re.compile(r"(?<=\w{3})\.\s+(?=[^\W\d_])")
"""Where a value ends and more words begin: "Ada Quill. Carry in metres"; "J. Quill" is no such place."""
_KEYED = re.compile(r"^(?P<key>[^:：=]{1,40}?)\s*[:：=]\s*(?P<value>.+)$")
_DASHED = re.compile(r"^(?P<key>\S[^\-–—]{0,30}?)\s+[-–—]\s+(?P<value>.+)$")
_SPACED = re.compile(r"^(?P<key>\S+)\s+(?P<value>.+)$")
_OF_A_CLUB: Final = frozenset(("wedge", "wedges", "iron", "eisen", "ウェッジ", "웨지"))
_SEPARATORS: Final = (" / ", " | ", " · ", " @ ", " – ", " - ", ", ", ": ", "; ", " + ", " x ", "/", "_", " ")


@dataclass(frozen=True, slots=True)
class Labels:
    """What a line tells for the rows below it; None leaves what was told before."""

    player: str | None = None
    club: str | None = None
    swing: str | None = None

    @property
    def empty(self) -> bool:
        """Whether the line tells nothing."""
        return self.player is None and self.club is None and self.swing is None


def labels_in(cells: Sequence[str], *, bare: bool) -> Labels:
    """Labels of a line; `bare` also takes labels without a key word ("SW 54", "waist", "Mona Example")."""
    filled = [cell.strip() for cell in cells if cell.strip()]
    if not filled:
        return Labels()
    if len(filled) > 1 and not (told := _by_cell(filled)).empty:
        return told
    text = " ".join(filled)
    for pattern in (_KEYED, _DASHED):
        if (match := pattern.match(text)) and (role := _label_role(match["key"])):
            rest = match["value"].strip()
            if pattern is _DASHED and is_club(match["key"]):
                return _merge(Labels(club=match["key"]), labels_in([rest], bare=True) if is_shot(rest) else Labels())
            parts = [part for part in re.split(r"\s*[,;|·]\s+|\s{2,}", rest) if part]
            labels = _assign(role, parts[0])
            for part in parts[1:]:
                labels = _merge(labels, labels_in([part], bare=True))
            return labels
    if (dashed := _DASHED.match(text)) and name_like(dashed["key"]) and unit_in_line(dashed["value"]):
        return Labels(player=dashed["key"])  # "Ada Quill - carry in metres"
    if not bare:
        return _merge_parts(text)
    if (match := _SPACED.match(text)) and (role := _label_role(match["key"])) and len(text) < 50:
        whole = parse_club(text)
        if role == "player" or not whole.kind or (role == "club" and fold(match["key"]) not in _OF_A_CLUB):
            return _assign(role, match["value"])
    return _bare(text.strip("=*# []<>-–—").strip())


def _by_cell(filled: Sequence[str]) -> Labels:
    """What the cells of a line tell each for itself: "Player: A" in one, or "Player" with "A" in the next."""
    labels, at = Labels(), 0
    while at < len(filled):
        cell, beside = filled[at], filled[at + 1] if at + 1 < len(filled) else ""
        if (match := _KEYED.match(cell)) and _label_role(match["key"]):
            labels, at = _merge(labels, labels_in([cell], bare=False)), at + 1
        elif not match and beside and (role := _label_role(cell.rstrip(":： "))) and _is_value(beside, filled):
            labels, at = _merge(labels, _assign(role, beside)), at + 2
        else:
            at += 1
    return labels


def _is_value(cell: str, filled: Sequence[str]) -> bool:
    """Whether a cell beside a key is what the key tells: in a line of more than two cells not one more heading."""
    if len(filled) == 2:
        return True
    keys = any(one.rstrip().endswith((":", "：")) or find_number(one) for one in filled)  # headings hold no numbers
    return not _KEYED.match(cell) and not cell.rstrip().endswith((":", "：")) and (keys or not roles_of(cell)[0])


def _merge_parts(text: str) -> Labels:
    """Several keyed labels on one line above a table: "Player: A; Club: B"."""
    labels = Labels()
    for part in re.split(r"\s*[;|]\s*|\s{2,}|,\s+(?=\S+\s*[:：])", text):
        if (match := _KEYED.match(part)) and (role := _label_role(match["key"])):
            labels = _merge(labels, _assign(role, match["value"].strip()))
    return labels


def _merge(one: Labels, two: Labels) -> Labels:
    return Labels(one.player or two.player, one.club or two.club, one.swing or two.swing)


def _label_role(key: str) -> str | None:
    return next((role for role in roles_of(key)[0] if role in LABELS), None)


def _assign(role: str, value: str) -> Labels:
    value = _SENTENCE.split(value)[0] if role == "player" else value
    if role == "shot_label":
        return _bare(value)
    if role == "date":
        return Labels()
    return Labels(**{role: value})


def is_shot(text: str) -> bool:
    """Whether a text is a club or a swing that is known by its words."""
    return is_club(text) or parse_swing(text).kind != "own"


def _bare(text: str) -> Labels:
    if is_club(text):
        return Labels(club=text)
    if parse_swing(text).kind != "own":
        return Labels(swing=text)
    if pair := split_club_swing(text):
        return Labels(club=pair[0], swing=pair[1])
    if name_like(text):
        return Labels(player=text)
    return Labels()


@lru_cache(maxsize=8192)
def is_club(text: str) -> bool:
    """Whether a text is a club label and nothing more."""
    parsed = parse_club(text)
    if not parsed.known or len(text) > 30 or len(re.findall(r"\d+", text)) > 2:
        return False
    rest = re.sub(r"\d{2}(?:\s*[./\-]\s*\d{1,2})?|[°º]", " ", fold(text))
    tokens = [token for token in re.split(r"[\s()\-/,.]+", rest) if token]
    extra = (
        "wedge",
        "wedges",
        "loft",
        "iron",
        "ウェッジ",
        "°",
        "no",
        "w",
        "er",
        "wdg",
        "dg",
        "grd",
        "st",
    )
    return all(
        token in extra or token in ANGLES or parse_club(token).kind is not None or roles_of(token)[0][:1] == ("club",)
        for token in tokens
    )


@lru_cache(maxsize=8192)
def split_club_swing(text: str) -> tuple[str, str] | None:
    """A label that names club and swing ("PW 48 / 8:00", "SW 54 waist"); None if it does not."""
    for separator in _SEPARATORS:
        pieces = text.split(separator)
        for cut in range(1, len(pieces)):
            left, right = separator.join(pieces[:cut]).strip(), separator.join(pieces[cut:]).strip()
            if not left or not right:
                continue
            for club, swing in ((left, right), (right, left)):
                own = parse_swing(swing).kind == "own"
                if (
                    is_club(club)
                    and not is_club(swing)
                    and (not own or (separator not in ("/", "_", " ") and not find_number(swing)))
                ):
                    return club, swing
    return None


def split_club_own_swing(text: str) -> tuple[str, str] | None:
    """A club and a player's own swing name after a blank ("54 whisper"); only to be believed where all labels part so."""
    pieces = text.split()
    for cut in range(len(pieces) - 1, 0, -1):
        club, swing = " ".join(pieces[:cut]), " ".join(pieces[cut:])
        if is_club(club) and not is_club(swing) and not find_number(swing):
            return club, swing
    return None


def is_title(text: str) -> bool:
    """Whether a line is made of nothing but the words of titles: "Second Bucket", "Set 2". One word alone may be a name."""
    told = re.findall(r"[^\W_]+(?:-[^\W_]+)*", fold(text))
    spoken = [token for token in told if not token.isdecimal() and not re.fullmatch(r"\d+(?:st|nd|rd|th)", token)]
    return (
        len(told) > 1 and len(max(spoken, key=len, default="")) > 2 and all(token in words.TITLES for token in spoken)
    )


def name_like(text: str) -> bool:
    tokens = text.split()
    if is_title(text):
        return False
    if not 1 <= len(tokens) <= 4 or find_number(text) or len(text) > 40:
        return False
    if any(ord(letter) > 0x2E80 for letter in text):
        return len(text) <= 12
    return all(token[:1].isupper() for token in tokens if len(token) > 3) and tokens[0][:1].isupper()


_ALSO_NAMES: Final = frozenset(("max", "min", "moy"))
_NOT_FIRST: Final = frozenset(("max", "min", "best", "total", "range"))
_ALWAYS: Final = frozenset(
    "subtotal sub-total sous-total zwischensumme subtotaal delsumma delsum välisumma podsuma mezisoučet ara részösszeg subtotale подытог međuzbroj vmesna average mittelwert moyenne 平均 gemiddelde medelvärde mean durchschnitt".split()
)
_BEGINS: Final = ("平均", "標準偏差", "合計", "평균", "표준편차", "합계", "平均值", "标准差")


def is_mean_row(cells: Sequence[str], skip: int | None = None) -> bool:
    """Whether a row holds means, spreads or sums: one of its first words says so. `skip` is the players' column."""
    seen = 0
    for at, cell in enumerate(cells):
        told = _mean_word(cell)
        if told == "blank":
            continue
        seen += 1
        if seen > 4:
            break
        if told == "always" or (told and at != skip):
            return True
    return False


@lru_cache(maxsize=65536)
def _mean_word(cell: str) -> str:
    """Whether a cell says that its row holds means: "always", "unless" it is a player's name, "" or "blank"."""
    text = fold(cell).strip(" :.*()")
    if not text:
        return "blank"
    if text in _ALSO_NAMES:
        return "unless"
    first = re.split(r"[\s:(]+", text)[0]
    if text in words.MEANS or fold(cell) in words.MEANS or first in _ALWAYS & words.MEANS or text.startswith(_BEGINS):
        return "always"
    return "unless" if first in words.MEANS and first not in _NOT_FIRST and find_number(text) is None else ""


@lru_cache(maxsize=4096)
def left_is_plus(text: str) -> bool:
    """Whether a line or heading says that left of the target line is positive."""
    plain = fold(text)
    tokens = re.findall(r"[^\W\d_]+|[+\-]", plain)
    plus = (
        "+" in plain
        or any(t.startswith(("positiv", "plus")) for t in tokens)
        or "正" in plain
        or "プラス" in plain
        or "플러스" in plain
    )
    left = [i for i, t in enumerate(tokens) if t in words.LEFT and len(t) > 1] or (
        [0] if re.search("左|왼쪽|좌", plain) else []
    )
    right = [i for i, t in enumerate(tokens) if t in words.RIGHT and len(t) > 1] or (
        [0] if re.search("右|오른쪽|우", plain) else []
    )
    minus = (
        any(t.startswith(("negativ", "minus", "négatif")) for t in tokens)
        or re.search(r"(?<!\w)-(?!\w)|負|マイナス", plain) is not None
    )
    if left and not right:
        return plus and not (minus and not plus)
    if right and not left:
        return minus and not plus
    if left and right and plus:
        near = {word: _sign_beside(plain, word) for word in ("left", "right")}
        return near["left"] == "+" and near["right"] != "+"
    return False


def _sign_beside(plain: str, side: str) -> str | None:
    names = words.LEFT if side == "left" else words.RIGHT
    for name in sorted(names, key=len, reverse=True):
        if len(name) > 1 or ord(name) > 0x2E80:
            match = re.search(rf"{re.escape(name)}\W{{0,5}}([+\-])|([+\-])\W{{0,4}}{re.escape(name)}", plain)
            if match:
                return match[1] or match[2]
    return None


def note_says(text: str, among: Sequence[str]) -> bool:
    """Whether a note contains one of the words."""
    return bool(text) and _says(text[:200], tuple(among))


@lru_cache(maxsize=8192)
def _says(text: str, among: tuple[str, ...]) -> bool:
    plain = fold(text)
    return any(word in plain for word in among)

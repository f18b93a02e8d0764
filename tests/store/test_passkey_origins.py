"""A passkey opens where it was made and nowhere else: another origin, another name, another's or a used challenge, no finger, a counter
that went back. The authenticator is one of our own, after Web Authentication Level 2 (W3C 2021), sections 6.1 and 7."""

import base64
import hashlib
import json
import secrets
import struct
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import cbor2
import pytest
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.hashes import SHA256
from tests.saying import raises_saying
from tests.web.academy_support import academy

from threequarter.golf.errors import UserError
from threequarter.store.accounts.accounts import Accounts
from threequarter.store.accounts.passkeys import Passkeys
from threequarter.store.store import Store

ORIGIN, HOST = "https://academy.example", "academy.example"
UP, UV, AT = 0x01, 0x04, 0x40


def text(content: bytes) -> str:
    return base64.urlsafe_b64encode(content).rstrip(b"=").decode()


class Authenticator:
    """A security key with one passkey."""

    def __init__(self) -> None:
        self.private, self.id, self.count = ec.generate_private_key(ec.SECP256R1()), secrets.token_bytes(32), 0

    def _data(self, host: str, flags: int, more: bytes = b"") -> bytes:
        self.count += 1
        return hashlib.sha256(host.encode()).digest() + struct.pack(">BI", flags, self.count) + more

    def make(self, asked: str, *, origin: str = ORIGIN, host: str = HOST, flags: int = UP | UV) -> dict[str, Any]:
        point = self.private.public_key().public_numbers()
        key = cbor2.dumps({1: 2, 3: -7, -1: 1, -2: point.x.to_bytes(32, "big"), -3: point.y.to_bytes(32, "big")})
        data = self._data(host, flags | AT, bytes(16) + struct.pack(">H", len(self.id)) + self.id + key)
        made = cbor2.dumps({"fmt": "none", "attStmt": {}, "authData": data})
        return self._answer({"attestationObject": text(made)}, "webauthn.create", asked, origin)

    def sign(self, asked: str, *, origin: str = ORIGIN, host: str = HOST, flags: int = UP | UV) -> dict[str, Any]:
        data = self._data(host, flags)
        answer = self._answer({"authenticatorData": text(data)}, "webauthn.get", asked, origin)
        client = base64.urlsafe_b64decode(answer["response"]["clientDataJSON"] + "==")
        signature = self.private.sign(data + hashlib.sha256(client).digest(), ec.ECDSA(SHA256()))
        answer["response"]["signature"] = text(signature)
        return answer

    def _answer(self, response: dict[str, Any], kind: str, asked: str, origin: str) -> dict[str, Any]:
        told = {"type": kind, "challenge": json.loads(asked)["challenge"], "origin": origin, "crossOrigin": False}
        response["clientDataJSON"] = text(json.dumps(told).encode())
        return {"id": text(self.id), "rawId": text(self.id), "type": "public-key", "response": response}


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store(tmp_path / "a") as made:
        yield made


ELSEWHERE: dict[str, dict[str, Any]] = {
    "another site": {"origin": "https://evil.test"},
    "a site within": {"origin": "https://evil.academy.example"},
    "a name that begins alike": {"origin": "https://academy.example.evil.test"},
    "another port": {"origin": "https://academy.example:8443"},
    "plain": {"origin": "http://academy.example"},
    "another name": {"host": "evil.test"},
    "nobody there": {"flags": 0},
    "no finger": {"flags": UP},
}


@pytest.mark.parametrize("what", ELSEWHERE)
def test_an_answer_from_elsewhere_makes_no_passkey_and_opens_nothing(store: Store, what: str) -> None:
    kim, keys, authenticator = Accounts(store).add("head", "Kim Alder"), Passkeys(store, ORIGIN, HOST), Authenticator()
    with pytest.raises(UserError):
        keys.keep(kim, authenticator.make(keys.begin_making(kim), **ELSEWHERE[what]), "telephone")
    keys.keep(kim, authenticator.make(keys.begin_making(kim)), "telephone")
    with pytest.raises(UserError):
        keys.sign_in(authenticator.sign(keys.begin_sign_in(), **ELSEWHERE[what]))
    assert keys.sign_in(authenticator.sign(keys.begin_sign_in())) == kim


def test_a_challenge_serves_once_and_only_whom_it_was_put_to(store: Store) -> None:
    people, keys, authenticator = Accounts(store), Passkeys(store, ORIGIN, HOST), Authenticator()
    kim, jo = people.add("head", "Kim Alder"), people.add("coach", "Jo Reed")
    with raises_saying(UserError, match="too long"):
        keys.keep(jo, authenticator.make(keys.begin_making(kim)), "of another")
    keys.keep(kim, authenticator.make(keys.begin_making(kim)), "")
    answer = authenticator.sign(keys.begin_sign_in())
    assert keys.sign_in(answer) == kim
    with raises_saying(UserError, match="too long"):
        keys.sign_in(answer)
    with pytest.raises(UserError):
        keys.keep(jo, authenticator.make(keys.begin_making(jo)), "already here")


def test_a_copy_whose_counter_is_behind_and_another_key_open_nothing(store: Store) -> None:
    kim, keys, authenticator = Accounts(store).add("head", "Kim Alder"), Passkeys(store, ORIGIN, HOST), Authenticator()
    keys.keep(kim, authenticator.make(keys.begin_making(kim)), "telephone")
    keys.sign_in(authenticator.sign(keys.begin_sign_in()))
    authenticator.count = 0
    with pytest.raises(UserError):
        keys.sign_in(authenticator.sign(keys.begin_sign_in()))
    other = Authenticator()
    other.id, other.count = authenticator.id, 100
    with pytest.raises(UserError):
        keys.sign_in(other.sign(keys.begin_sign_in()))


def test_a_passkey_without_a_name_is_listed_as_one(tmp_path: Path) -> None:
    with academy(tmp_path) as made:
        keys, authenticator = Passkeys(made.store, ORIGIN, HOST), Authenticator()
        kim = made.accounts["Kim Fescue"]
        keys.keep(kim, authenticator.make(keys.begin_making(kim)), " ")
        page = made.client("head").get("/account", headers={"accept": "text/html"}).text
        assert "<li>a passkey, " in page
        assert 'aria-label="Remove a passkey"' in page

"""Phones on the local network: certificates that fit, pairing by a one-time code, nothing for strangers. Real sockets,
real TLS."""

import datetime
import http.cookiejar
import re
import ssl
import subprocess
import sys
import time
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
import time_machine
from cryptography import x509

from threequarter.cli.serve import local_addresses
from threequarter.web.phones.announcing import NAMES, SERVICE, announce
from threequarter.web.phones.certificates import certificates
from threequarter.web.phones.pairing import CODE_LIVES_S, FREE_TRIES, Pairing, TooSoonError

pytestmark = pytest.mark.slow


def test_certificates_are_made_once_and_anew_for_other_addresses(tmp_path: Path) -> None:
    first = certificates(tmp_path, ["range.local"], ["192.168.1.7"])
    chain = first.chain.read_bytes()
    assert certificates(tmp_path, ["range.local"], ["192.168.1.7"]).chain.read_bytes() == chain
    other = certificates(tmp_path, ["range.local"], ["192.168.1.8"])
    assert other.chain.read_bytes() != chain
    ca = x509.load_pem_x509_certificate(first.authority.read_bytes())
    limits = ca.extensions.get_extension_for_class(x509.NameConstraints).value
    assert "192.168.0.0/16" in {str(tree.value) for tree in limits.permitted_subtrees or []}
    leaf = x509.load_pem_x509_certificate(other.chain.read_bytes())
    leaf.verify_directly_issued_by(ca)
    assert (tmp_path / "ca.key").stat().st_mode & 0o077 == 0


def test_a_certificate_that_ends_soon_is_made_anew_and_an_old_authority_too(tmp_path: Path) -> None:
    now = datetime.datetime.now(datetime.UTC)
    first = certificates(tmp_path, ["range.local"], ["192.168.1.7"])
    chain, authority = first.chain.read_bytes(), first.authority.read_bytes()
    with time_machine.travel(now + datetime.timedelta(days=360)):
        assert certificates(tmp_path, ["range.local"], ["192.168.1.7"]).chain.read_bytes() == chain
    with time_machine.travel(now + datetime.timedelta(days=370)):
        renewed = certificates(tmp_path, ["range.local"], ["192.168.1.7"]).chain.read_bytes()
        assert renewed != chain
        assert first.authority.read_bytes() == authority  # phones need not trust anything anew
    with time_machine.travel(now + datetime.timedelta(days=3300)):
        certificates(tmp_path, ["range.local"], ["192.168.1.7"])
        ca = x509.load_pem_x509_certificate(first.authority.read_bytes())
        assert first.authority.read_bytes() != authority
        x509.load_pem_x509_certificate(first.chain.read_bytes()).verify_directly_issued_by(ca)


def test_a_phone_in_use_is_renewed_each_day_and_one_that_stayed_away_is_paired_anew(tmp_path: Path) -> None:
    pairing, day = Pairing(tmp_path), datetime.timedelta(days=1)
    now = datetime.datetime(2026, 6, 1, 9, tzinfo=datetime.UTC)
    with time_machine.travel(now, tick=False):
        secret = pairing.pair(pairing.code(), "range phone") or ""
        assert not pairing.renew(secret)
    with time_machine.travel(now + 40 * day, tick=False):
        assert pairing.renew(secret)
        assert not pairing.renew(secret)  # once a day is enough
    with time_machine.travel(now + 90 * day, tick=False):
        assert pairing.knows(secret)
    with time_machine.travel(now + 101 * day, tick=False):
        assert not pairing.knows(secret)
        assert not pairing.renew(secret)
    with time_machine.travel(now - 400 * day, tick=False):  # a clock that was set back ends nothing
        assert pairing.knows(secret)


def _forbidden(**_: object) -> None:
    raise OSError("multicast is forbidden here")


def test_the_name_is_found_by_another_machine_and_a_taken_one_is_left_to_its_owner(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    from zeroconf import AddressResolverIPv4, IPVersion, ServiceInfo, Zeroconf

    loopback = ["127.0.0.1"]
    try:
        listener = Zeroconf(interfaces=loopback, ip_version=IPVersion.V4Only)
    except OSError as error:
        pytest.skip(f"NOT TESTED: no multicast here ({error})")
    other = ServiceInfo(
        SERVICE, f"other.{SERVICE}", addresses=[bytes([192, 168, 1, 99])], port=1, server=f"{NAMES[0]}."
    )
    listener.register_service(other)
    announced = announce(loopback, 8755)
    try:
        assert announced.name == NAMES[1], announced.why_not
        asked = AddressResolverIPv4(f"{NAMES[1]}.")
        assert asked.request(listener, 5000)
        assert asked.parsed_addresses() == loopback
    finally:
        announced.close()
        listener.close()
    assert announce([], 8755).name == ""
    monkeypatch.setattr("zeroconf.Zeroconf", _forbidden)
    assert announce(loopback, 8755).why_not == "multicast is forbidden here"


def test_a_code_works_once_and_guessing_is_slow_but_ends_nobodys(tmp_path: Path) -> None:
    pairing = Pairing(tmp_path)
    code = pairing.code()
    secret = pairing.pair(code, "range phone")
    assert secret
    assert pairing.knows(secret)
    assert pairing.pair(code, "again") is None
    assert not pairing.knows("x" * 40)
    fresh = pairing.code()
    wrong = "00000000" if fresh != "00000000" else "1"
    for _ in range(FREE_TRIES):
        assert pairing.pair(wrong, "guess", "192.168.1.66") is None
    with pytest.raises(TooSoonError, match="Try again in"):
        pairing.pair(fresh, "guess", "192.168.1.66")  # the right one too, until the wait is over
    assert pairing.code() == fresh
    assert pairing.pair(fresh, "the coach's next phone", "192.168.1.7")
    pairing.remove(pairing.phones()[0].id)
    assert not pairing.knows(secret)
    assert secret not in (tmp_path / "phones.json").read_text()


def test_a_stranger_who_guesses_on_gets_few_tries_while_a_code_lives(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = [0.0]
    monkeypatch.setattr("threequarter.web.phones.pairing.time.monotonic", lambda: now[0])
    pairing, reached = Pairing(tmp_path), 0
    fresh = pairing.code()
    while now[0] < CODE_LIVES_S:
        try:
            pairing.pair("1", "guess", f"fd00::{int(now[0]):x}")  # another address of one network each second
            reached += 1
        except TooSoonError:
            pass
        now[0] += 1.0
    assert FREE_TRIES < reached < 25
    assert pairing.pair(fresh, "the coach", "192.168.1.7")


@pytest.fixture(params=["at the start", "by the button"])
def server(tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[tuple[str, str, str, Path]]:
    if not local_addresses():
        pytest.skip("NOT TESTED: this machine has no private address")
    at_start = ["--phones"] if request.param == "at the start" else []
    command = [sys.executable, "-u", "-m", "threequarter", "serve", *at_start]
    child = subprocess.Popen(
        [*command, "--port", "0", "--no-browser", "--data", str(tmp_path)], stdout=subprocess.PIPE, text=True
    )
    assert child.stdout is not None
    own = re.search(r"http://127\.0\.0\.1:\d+", child.stdout.readline())
    assert own
    if at_start:
        line = child.stdout.readline()
    else:
        port = own[0].rpartition(":")[2]
        with pytest.raises(urllib.error.URLError):
            urllib.request.urlopen(f"http://{local_addresses()[0]}:{port}/pair", timeout=5)
        with urllib.request.urlopen(
            urllib.request.Request(f"{own[0]}/phones/on", data=b"", method="POST"), timeout=300
        ) as answer:
            line = answer.read().decode()
    plain, secure = re.search(r"http://[\d.]+:\d+", line), re.search(r"https://[\d.]+:\d+", line)
    assert plain
    assert secure
    yield own[0], plain[0], secure[0], tmp_path
    child.terminate()
    child.wait(10)
    child.stdout.close()


def test_a_stranger_gets_nothing_and_a_paired_phone_gets_in(server: tuple[str, str, str, Path]) -> None:
    own, plain, secure, data = server
    trust = ssl.create_default_context(cafile=str(data / "phones" / "threequarter-ca.crt"))
    phone = urllib.request.build_opener(
        urllib.request.HTTPSHandler(context=trust), urllib.request.HTTPCookieProcessor(http.cookiejar.CookieJar())
    )

    def status(address: str, body: dict[str, str] | None = None) -> tuple[int, str]:
        data = urllib.parse.urlencode(body).encode() if body is not None else None
        try:
            with phone.open(address, data, timeout=300) as answer:
                return answer.status, answer.read().decode("utf-8", "replace")
        except urllib.error.HTTPError as error:
            with error:
                return error.code, error.read().decode("utf-8", "replace")

    with urllib.request.urlopen(f"{own}/phones", timeout=300) as answer:
        page = answer.read().decode()
    code = "".join(re.search(r"<strong\s+class=\"big\">\s*(\d{4}) (\d{4})", page).groups())  # type: ignore[union-attr]
    for address in (plain, secure):
        for path in ("/", "/bucket", "/players", "/sessions/1", "/api/sessions/1/live", "/phones", "/health"):
            assert status(address + path)[0] == 403, path
        assert status(address + "/pair")[0] == 200
        assert status(address + "/ca.crt")[0] == 200
    assert status(secure + "/pair", {"code": "12345678" if code != "12345678" else "0", "name": "x"})[0] == 400
    assert "Hit balls" in status(secure + "/pair", {"code": code, "name": "range phone"})[1]
    assert status(secure + "/")[0] == 200
    assert status(secure + "/phones")[0] == 403
    until = time.monotonic() + 300
    page = ""
    while "threequarter.local" not in page and "do not work on this network" not in page and time.monotonic() < until:
        with urllib.request.urlopen(f"{own}/phones", timeout=300) as answer:
            page = answer.read().decode()
        time.sleep(0.3)
    assert "range phone" in page
    port = secure.rpartition(":")[2]
    assert f"threequarter.local:{port}" in page or "do not work on this network" in page
    named = urllib.request.Request(f"{secure}/health", headers={"host": f"threequarter.local:{port}"})
    with phone.open(named, timeout=300) as answer:
        assert answer.status == 200  # the name is one of this server's, and the phone is still paired
    leaf = x509.load_pem_x509_certificate((data / "phones" / "server.pem").read_bytes())
    names = leaf.extensions.get_extension_for_class(x509.SubjectAlternativeName).value.get_values_for_type(x509.DNSName)
    assert "threequarter.local" in names
    removed = re.search(r"/phones/(\w+)/remove", page)
    assert removed
    urllib.request.urlopen(urllib.request.Request(f"{own}{removed[0]}", method="POST"), timeout=300).close()
    assert status(secure + "/")[0] == 403

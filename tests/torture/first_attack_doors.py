"""The rest of the first attack on release 0.1.0: accounts, phones, connections, backups, damage; each again by interface and commands alone.

`first_attack.py` runs them. Each gets a folder of its own and starts what it needs.
"""

import contextlib
import os
import random
import re
import resource
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import requests

PATIENCE_S = 30.0
WORDS = ("four quiet herons wade", "seven slow barges turn")
BALL: dict[str, str | float] = {"key": "d1f0c2a4-0001", "club": "54", "swing": "waist", "carry": 30.2, "unit": "m"}
HALF_SENT = 1100
MOST_LOG_MB = 5.0
PROGRAM = [sys.executable, "-u", "-m", "threequarter"]


def command(*words: str | Path) -> "subprocess.CompletedProcess[str]":
    """A command of the release."""
    return subprocess.run([*PROGRAM, *map(str, words)], capture_output=True, text=True, check=False, timeout=300)


class Served:
    """A server of the release on the path."""

    def __init__(self, folder: Path, *options: str, files: int = 0, **env: str) -> None:
        self.folder, self.log = folder, folder.with_suffix(".log")
        limit = ["prlimit", f"--nofile={files}"] if files else []
        with self.log.open("wb") as log:
            self.child = subprocess.Popen(
                [*limit, *PROGRAM, "serve", "--port", "0", "--no-browser", "--data", str(folder), *options],
                stdout=subprocess.PIPE,
                stderr=log,
                text=True,
                env={**os.environ, **env},
            )
        assert self.child.stdout is not None
        found = re.search(r"https?://127\.0\.0\.1:\d+", self.child.stdout.readline())
        assert found, self.log.read_text()
        self.address = found[0]

    def day(self, player: str) -> int:
        answer = requests.post(f"{self.address}/bucket", data={"player": player, "unit": "m"}, timeout=PATIENCE_S)
        found = re.search(r"/bucket/(\d+)", answer.url)
        assert found, answer.text
        day = int(found[1])
        requests.post(f"{self.address}/api/sessions/{day}/balls", json={"balls": [BALL]}, timeout=PATIENCE_S)
        return day


@contextmanager
def serving(folder: Path, *options: str, **more: Any) -> Iterator[Served]:
    made = Served(folder, *options, **more)
    try:
        yield made
    finally:
        made.child.kill()
        made.child.wait()
        assert made.child.stdout is not None
        made.child.stdout.close()


def head_of(one: Served) -> requests.Session:
    """The browser of a head who has just come in by the first invitation."""
    told = command("account", "add-head", "Kim Fescue", "--address", one.address, "--data", one.folder)
    link = re.search(r"http\S+/invitation/\S+", told.stdout)
    assert link, told.stderr
    browser = requests.Session()
    browser.post(link[0], data={"password": WORDS[0], "again": WORDS[0]}, timeout=PATIENCE_S).raise_for_status()
    return browser


def a_backup_dated_ahead_ends_the_daily_ones(folder: Path) -> bool:
    with serving(folder / "data") as one:
        one.day("Wren Sedge")
    backups = folder / "kept"
    backups.mkdir()
    (backups / "threequarter-2099-01-01-120000.zip").write_bytes(b"made while the clock was ahead")
    command("backup", "--keep", "7", "--if-due", backups, "--data", folder / "data")
    return len(list(backups.glob("threequarter-*.zip"))) < 2


def a_token_outlives_a_changed_password(folder: Path) -> bool:
    with serving(folder / "data") as one:
        browser = head_of(one)
        page = browser.post(f"{one.address}/api-tokens", data={"name": "mine", "rights": "write"}, timeout=PATIENCE_S)
        tokens = {found for found in re.findall(r"[\w-]{30,}", page.text) if reads(one, found)}
        assert tokens, "no token was made"
        changed = {"old": WORDS[0], "new": WORDS[1], "again": WORDS[1]}
        browser.post(f"{one.address}/account/password", data=changed, timeout=PATIENCE_S).raise_for_status()
        return any(reads(one, token) for token in tokens)


def reads(one: Served, token: str) -> bool:
    asked = requests.get(f"{one.address}/api/players", headers={"authorization": f"Bearer {token}"}, timeout=PATIENCE_S)
    return asked.status_code == 200


def ten_wrong_passwords_lock_the_head_out(folder: Path) -> bool:
    with serving(folder / "data", "--host", "academy.test", THREEQUARTER_PROXIES="127.0.0.1") as one:
        head_of(one)

        def tries(password: str, address: str) -> bool:
            told = {"host": "academy.test", "x-forwarded-for": address, "x-forwarded-proto": "https"}
            form = {"name": "Kim Fescue", "password": password}
            answer = requests.post(
                f"{one.address}/sign-in", data=form, headers=told, timeout=PATIENCE_S, allow_redirects=False
            )
            return answer.status_code == 303

        assert tries(WORDS[0], "198.51.100.7"), "the head cannot come in at all"
        for _time in range(11):
            tries("not the right words", "203.0.113.9")
        return not tries(WORDS[0], "198.51.100.7")


def a_link_by_the_first_name_is_refused(folder: Path) -> bool:
    with serving(folder / "data") as one:
        head_of(one)
    return command("account", "link", "kim", "--data", folder / "data").returncode != 0


@contextmanager
def paired(folder: Path) -> Iterator[tuple[Served, str, requests.Session]]:
    """A laptop that lets phones in, its trusted address, and a phone that has not typed the code yet."""
    with serving(folder / "data", "--phones") as one:
        assert one.child.stdout is not None
        secure = re.search(r"https://\d+\.\d+\.\d+\.\d+:\d+", one.child.stdout.readline())
        assert secure, "no network here, so no phone"
        phone = requests.Session()
        phone.trust_env, phone.verify = (
            False,
            str(folder / "authority.crt"),
        )  # as a phone does that was told to trust it
        Path(phone.verify).write_bytes(requests.get(f"{one.address}/ca.crt", timeout=PATIENCE_S).content)
        yield one, secure[0], phone


def code_of(one: Served) -> str:
    page = requests.get(f"{one.address}/phones", timeout=PATIENCE_S).text
    found = re.search(r"\b(\d{4} ?\d{4})\b", re.sub(r"<[^>]*>", " ", page))
    assert found, page
    return found[1].replace(" ", "")


def a_paired_phone_erases_a_player(folder: Path) -> bool:
    with paired(folder) as (one, secure, phone):
        one.day("Wren Sedge")
        phone.post(f"{secure}/pair", data={"code": code_of(one), "name": "a phone"}, timeout=PATIENCE_S)
        assert phone.get(f"{secure}/bucket", timeout=PATIENCE_S).status_code == 200, "the phone was not let in"
        phone.post(f"{secure}/players/Wren%20Sedge/erase", data={"typed": "Wren Sedge"}, timeout=PATIENCE_S)
        return requests.get(f"{one.address}/players/Wren%20Sedge", timeout=PATIENCE_S).status_code == 404


def five_guesses_end_the_code(folder: Path) -> bool:
    with paired(folder) as (one, secure, phone):
        code = code_of(one)
        for number in range(6):
            phone.post(f"{secure}/pair", data={"code": f"{number:08d}", "name": "a stranger"}, timeout=PATIENCE_S)
        return code_of(one) != code


def half_sent_requests_stop_the_server(folder: Path) -> bool:
    """Whether nobody is answered half a minute later, or the log has grown by megabytes."""
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (min(hard, max(soft, 4096)), hard))
    with serving(folder / "data", files=1024) as one, contextlib.ExitStack() as held:
        port = int(one.address.rpartition(":")[2])
        for _number in range(HALF_SENT):
            with contextlib.suppress(OSError):
                half = held.enter_context(socket.create_connection(("127.0.0.1", port), 1.0))
                half.sendall(b"GET / HTTP/1.1\r\nhost: ")
        over, answered = time.monotonic() + 30, False
        while time.monotonic() < over:
            try:
                answered = requests.get(f"{one.address}/health", timeout=5).status_code == 200
            except requests.RequestException:
                answered = False
            time.sleep(1)
        return not answered or one.log.stat().st_size > MOST_LOG_MB * 2**20


def damage_is_a_traceback(folder: Path) -> bool:
    with serving(folder / "data") as one:
        for number in range(20):
            one.day(f"Player {number}")
    command("backup", folder / "good.zip", "--data", folder / "data")  # what the log holds comes into the file
    whole = (folder / "data" / "threequarter.db").read_bytes()
    said = ""
    for number in range(12):
        content, rng = bytearray(whole), random.Random(number)
        for _page in range(12):
            at = rng.randrange(4096, len(whole) - 64)
            content[at : at + 64] = rng.randbytes(64)
        (folder / "data" / "threequarter.db").write_bytes(content)
        for rest in ("-wal", "-shm"):
            (folder / "data" / f"threequarter.db{rest}").unlink(missing_ok=True)
        said += command("backup", folder / f"{number}.zip", "--data", folder / "data").stderr
    return "Traceback" in said


DOORS: tuple[Callable[[Path], bool], ...] = (
    a_backup_dated_ahead_ends_the_daily_ones,
    a_token_outlives_a_changed_password,
    ten_wrong_passwords_lock_the_head_out,
    a_link_by_the_first_name_is_refused,
    a_paired_phone_erases_a_player,
    five_guesses_end_the_code,
    half_sent_requests_stop_the_server,
    damage_is_a_traceback,
)

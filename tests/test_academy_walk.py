"""The walk of docs/academy.md, typed as it stands: set-up, upgrade, a lost head, a lost disk, on PostgreSQL; and the two proxies."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from tests.postgres_support import Server

from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.store import Store

ROOT = Path(__file__).parents[1]
PAGE = (ROOT / "docs" / "academy.md").read_text(encoding="utf-8")
WALK = PAGE[PAGE.index("## The walk") : PAGE.index("## With containers")]
STEPS = dict(re.findall(r"^\*\*([^*]+)\*\*[^\n]*\n```sh\n(.*?)```", WALK, re.DOTALL | re.MULTILINE))
YOURS, SET_UP, UPGRADE, LOST_HEAD, LOST_DISK = STEPS
PROXIES = re.findall(r"```(?:nginx)?\n(client_max_body_size.*?|academy\.example \{.*?)```", PAGE, re.DOTALL)


SCRATCH = ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")


def typed(block: str, folder: Path, url: str) -> str:
    """What is said to the lines of a block, in a shell that stops at the first that fails."""
    bin_folder = folder / "bin"
    bin_folder.mkdir(exist_ok=True)
    program = bin_folder / "threequarter"
    program.write_text(f'#!/bin/sh\nexec {sys.executable} -m threequarter "$@"\n')
    program.chmod(0o755)
    yours = STEPS[YOURS]
    for name, here in (
        ("DATA", folder / "data"),
        ("THREEQUARTER_BACKUPS", folder / "backups"),
        ("THREEQUARTER_DATABASE_URL", url),
    ):
        yours, count = re.subn(
            rf"^(export {name}=).*$", lambda found, here=here: f"{found[1]}{here}", yours, flags=re.MULTILINE
        )
        assert count == 1, name
    env = {
        **os.environ,
        "PATH": f"{bin_folder}:{os.environ['PATH']}",
        "PYTHONPATH": str(ROOT / "src"),
        "LANGUAGE": "en",
    }
    env.pop("THREEQUARTER_BACKUPS", None)
    done = subprocess.run(
        ["sh", "-eu", "-c", yours + block], capture_output=True, text=True, env=env, cwd=folder, check=False
    )
    assert done.returncode == 0, (block, done.stdout, done.stderr)
    assert "Traceback" not in done.stderr
    return done.stdout


@pytest.mark.slow
def test_the_walk_is_gone_to_the_letter(tmp_path: Path, postgres: Server, postgres_url: str) -> None:
    assert "/invitation/" in typed(STEPS[SET_UP], tmp_path, postgres_url)
    with Store.open(tmp_path / "data", postgres_url) as store:
        session_id = PhoneBalls(store).begin("Robin Sedge", "m")
        ball = {"key": "d1f0c2a4-0001", "club": "54", "swing": "waist", "carry": 30.2, "unit": "m"}
        PhoneBalls(store).take(session_id, [ball])
    assert re.search(r"\d+\.\d+", typed(STEPS[UPGRADE], tmp_path, postgres_url))
    told = typed(STEPS[LOST_HEAD], tmp_path, postgres_url)
    assert "Kim Fescue" in told
    assert "https://academy.example/invitation/" in told

    shutil.rmtree(tmp_path / "data")
    postgres.drop(postgres_url)
    postgres.execute(f'CREATE DATABASE "{postgres_url.rsplit("/", 1)[1]}"')
    assert "Kim Fescue" in typed(STEPS[LOST_DISK], tmp_path, postgres_url)
    with Store.open(tmp_path / "data", postgres_url) as store:
        assert [kept.ball.distance_m for kept in store.kept_balls(session_id)] == [30.2]


def test_the_walk_has_every_step_and_names_the_same_variables_as_the_page() -> None:
    assert [len(STEPS[one].strip().splitlines()) for one in (YOURS, SET_UP, UPGRADE, LOST_HEAD, LOST_DISK)] == [
        4,
        3,
        3,
        2,
        4,
    ]
    used = set(re.findall(r"\$\{?([A-Z_]+)", "".join(STEPS.values())))
    assert used == set(re.findall(r"export ([A-Z_]+)=", STEPS[YOURS])) - {"THREEQUARTER_DATABASE_URL"}


def test_nginx_takes_the_lines_of_the_page(tmp_path: Path) -> None:
    from threequarter.web.phones.certificates import certificates

    found = shutil.which("nginx", path=f"{os.environ['PATH']}:/usr/sbin")
    if found is None:
        pytest.skip("NOT TESTED HERE: no nginx; on Debian or Ubuntu: sudo apt-get install nginx-light")
    made = certificates(tmp_path, ["academy.example"], ["127.0.0.1"])
    listening = f"listen unix:{tmp_path}/s ssl; server_name academy.example; ssl_certificate {made.chain}; ssl_certificate_key {made.key};"
    scratch = "".join(f"{kind}_temp_path {tmp_path}/{kind}; " for kind in SCRATCH)
    config = tmp_path / "nginx.conf"
    config.write_text(
        f"error_log stderr; pid {tmp_path}/pid; events {{}}\nhttp {{ access_log off; {scratch}server {{ {listening}\n{PROXIES[0]} }} }}"
    )
    done = subprocess.run([found, "-t", "-p", tmp_path, "-c", config], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    config.write_text(config.read_text().replace("proxy_pass", "proxy_past"))
    assert subprocess.run([found, "-t", "-p", tmp_path, "-c", config], capture_output=True, check=False).returncode != 0


def test_caddy_takes_the_file_of_the_page(tmp_path: Path) -> None:
    found = shutil.which("caddy")
    if found is None:
        pytest.skip("NOT TESTED HERE: no caddy; on Debian or Ubuntu: sudo apt-get install caddy")
    config = tmp_path / "Caddyfile"
    env = {**os.environ, "HOME": str(tmp_path), "XDG_DATA_HOME": str(tmp_path), "XDG_CONFIG_HOME": str(tmp_path)}
    command = [found, "adapt", "--adapter", "caddyfile", "--validate", "--config", str(config)]
    config.write_text(PROXIES[1])
    done = subprocess.run(command, capture_output=True, text=True, env=env, check=False)
    assert done.returncode == 0, done.stderr
    config.write_text(PROXIES[1].replace("reverse_proxy", "reverse_proxies"))
    assert subprocess.run(command, capture_output=True, env=env, check=False).returncode != 0

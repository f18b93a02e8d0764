"""Serving an academy: names the server answers to, https by a certificate of one's own, and what is wrong with one."""

import datetime
import json
import ssl
import urllib.error
import urllib.request
from pathlib import Path

import pytest
import time_machine
from click.testing import CliRunner
from tests.academy_support import Program

from threequarter.cli.serve import command
from threequarter.golf.errors import UserError
from threequarter.web.phones.certificates import Certificates, certificates

pytestmark = pytest.mark.filterwarnings("ignore::ResourceWarning")


def refused(*options: str) -> str:
    said = CliRunner().invoke(command, ["--port", "0", "--no-browser", *options])
    assert isinstance(said.exception, UserError), said.exception
    assert "\n" not in str(said.exception)
    return str(said.exception)


def made(folder: Path) -> Certificates:
    return certificates(folder / "made", ["localhost"], ["127.0.0.1"])


def test_https_with_a_certificate_of_ones_own_under_the_name_given(tmp_path: Path) -> None:
    pair = made(tmp_path)
    options = ["--certificate", str(pair.chain), "--key", str(pair.key), "--host", "academy.test", "--no-worker"]
    trusting = ssl.create_default_context(cafile=pair.authority)
    with Program("serve", tmp_path / "data", None, *options) as server:

        def ask(host: str) -> int:
            request = urllib.request.Request(f"https://127.0.0.1:{server.port}/health", headers={"host": host})
            try:
                with urllib.request.urlopen(request, timeout=300, context=trusting) as answer:
                    assert json.loads(answer.read())["status"] == "ok"
                    return int(answer.status)
            except urllib.error.HTTPError as error:
                return error.code

        assert [ask(host) for host in ("academy.test", f"academy.test:{server.port}", f"127.0.0.1:{server.port}")] == [
            200
        ] * 3
        assert ask("evil.test") == 400


def test_a_pair_that_is_not_whole_or_has_ended_is_told_before_anything_is_opened(tmp_path: Path) -> None:
    with time_machine.travel(datetime.datetime.now(datetime.UTC) - datetime.timedelta(days=800)):
        old = made(tmp_path)
    data = ["--data", str(tmp_path / "data")]
    assert "expired on" in refused(*data, "--certificate", str(old.chain), "--key", str(old.key))
    assert "needs both" in refused(*data, "--certificate", str(old.chain))
    assert "cannot be read" in refused(*data, "--certificate", str(old.chain), "--key", str(tmp_path / "none"))
    (tmp_path / "bad.pem").write_text("nothing")
    assert "cannot be read" in refused(*data, "--certificate", str(tmp_path / "bad.pem"), "--key", str(old.key))
    assert not (tmp_path / "data").exists()

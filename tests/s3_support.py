"""A real server of the S3 protocol of the tests' own, on this machine: a process that can be stopped and started again."""

import json
import os
import re
import socket
import subprocess
import sys
import tempfile
import threading
import time
import urllib.request
import uuid
from contextlib import suppress
from typing import Any, Final

import boto3.session
import pytest
from botocore.config import Config

KEY: Final = {"AWS_ACCESS_KEY_ID": "only-for-tests", "AWS_SECRET_ACCESS_KEY": "known-to-all-who-read-this"}


class S3Server:
    """The server, and a client of its own that looks at what is really there."""

    def __init__(self) -> None:
        self._log = tempfile.TemporaryFile("w+")  # noqa: SIM115
        self.child = subprocess.Popen(
            [sys.executable, "-c", "from moto.server import main; main(['-H', '127.0.0.1', '-p', '0'])"],
            stdout=subprocess.DEVNULL,
            stderr=self._log,
            text=True,
            env={**os.environ, **KEY},
        )
        self.port = self._port()
        self.address = f"http://127.0.0.1:{self.port}"
        self.client: Any = boto3.session.Session().client(
            "s3",
            endpoint_url=self.address,
            region_name="us-east-1",
            aws_access_key_id=KEY["AWS_ACCESS_KEY_ID"],
            aws_secret_access_key=KEY["AWS_SECRET_ACCESS_KEY"],
            config=Config(s3={"addressing_style": "path"}),
        )

    def _port(self) -> int:
        until = time.monotonic() + 300
        while time.monotonic() < until and self.child.poll() is None:
            self._log.seek(0)
            if found := re.search(r"http://127\.0\.0\.1:(\d+)", self._log.read()):
                return int(found[1])
            time.sleep(0.05)
        raise AssertionError("the server of the S3 protocol did not start")

    def bucket(self, *, versions: bool = False) -> str:
        """A new bucket, which may keep versions."""
        name = f"films-{uuid.uuid4().hex[:12]}"
        self.client.create_bucket(Bucket=name)
        if versions:
            self.client.put_bucket_versioning(Bucket=name, VersioningConfiguration={"Status": "Enabled"})
        return name

    def objects(self, bucket: str) -> dict[str, bytes]:
        """All that is in a bucket."""
        found = self.client.list_objects_v2(Bucket=bucket).get("Contents", ())
        return {one["Key"]: self.client.get_object(Bucket=bucket, Key=one["Key"])["Body"].read() for one in found}

    def versions(self, bucket: str) -> list[Any]:
        """All that a bucket remembers, what was removed too."""
        found = self.client.list_object_versions(Bucket=bucket)
        return [*found.get("Versions", ()), *found.get("DeleteMarkers", ())]

    def key_that_may_not(self, *acts: str) -> dict[str, str]:
        """A key known to the server that may do everything with objects but these."""
        made: Any = boto3.session.Session().client(
            "iam",
            endpoint_url=self.address,
            region_name="us-east-1",
            aws_access_key_id="only-for-tests",
            aws_secret_access_key="x",
        )
        name = f"user-{uuid.uuid4().hex[:8]}"
        rules = [{"Effect": "Allow", "Action": "s3:*", "Resource": "*"}]
        rules += [{"Effect": "Deny", "Action": list(acts), "Resource": "*"}] if acts else []
        made.create_user(UserName=name)
        made.put_user_policy(
            UserName=name, PolicyName="p", PolicyDocument=json.dumps({"Version": "2012-10-17", "Statement": rules})
        )
        key = made.create_access_key(UserName=name)["AccessKey"]
        made.close()
        return {"AWS_ACCESS_KEY_ID": key["AccessKeyId"], "AWS_SECRET_ACCESS_KEY": key["SecretAccessKey"]}

    def ask_for_keys(self, asked: bool) -> None:
        """From now on only keys that the server knows are let in (it knows none), or all are again."""
        said = urllib.request.Request(
            f"{self.address}/moto-api/reset-auth", b"0" if asked else b"inf", {"content-type": "text/plain"}
        )
        urllib.request.urlopen(said, timeout=300).close()

    def remove(self) -> None:
        """Ends it."""
        self.child.kill()
        self.child.wait()
        self._log.close()
        self.client.close()


def name_bucket(monkeypatch: pytest.MonkeyPatch, s3: S3Server, bucket: str) -> None:
    """Every store that is opened from now on, here and in processes that are started, keeps its films in a bucket."""
    monkeypatch.setenv("THREEQUARTER_CLIPS", f"s3://{bucket}/films")
    monkeypatch.setenv("AWS_ENDPOINT_URL", s3.address)
    for name, value in KEY.items():
        monkeypatch.setenv(name, value)


def no_port() -> int:
    """A port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class Cut:
    """A line to a server on this machine that can be cut after some bytes, or made so slow that nothing more gets through."""

    def __init__(self, port: int) -> None:
        self.port, self.passed = port, 0
        self.most: int | None = None
        self.slow_after: int | None = None
        self._slow = threading.Event()
        self._over = threading.Event()
        self._listens = socket.create_server(("127.0.0.1", 0))
        self.address = f"http://127.0.0.1:{self._listens.getsockname()[1]}"

    def wait_until_slow(self) -> None:
        """Waits until nothing more gets through."""
        assert self._slow.wait(60)
        self._slow.clear()

    def _serve(self) -> None:
        while not self._over.is_set():
            try:
                near, _ = self._listens.accept()
            except OSError:
                return
            far = socket.create_connection(("127.0.0.1", self.port))
            threading.Thread(target=self._pass, args=(near, far, True), daemon=True).start()
            threading.Thread(target=self._pass, args=(far, near, False), daemon=True).start()

    def _pass(self, source: socket.socket, target: socket.socket, counted: bool) -> None:
        try:
            while data := source.recv(65536):
                self.passed += len(data) * counted
                if self.most is not None and self.passed > self.most:
                    break
                if (
                    counted
                    and self.slow_after is not None
                    and (self.passed > self.slow_after)
                    and b"under-way" not in data
                ):
                    self._slow.set()
                    self._over.wait(60)
                    break
                target.sendall(data)
        except OSError:
            pass
        finally:
            for end in (source, target):
                with suppress(OSError):
                    end.shutdown(socket.SHUT_RDWR)
                end.close()

    def __enter__(self) -> "Cut":
        self._thread = threading.Thread(target=self._serve, daemon=True)
        self._thread.start()
        return self

    def __exit__(self, *_error: object) -> None:
        self._over.set()
        self._listens.shutdown(socket.SHUT_RDWR)
        self._listens.close()
        self._thread.join()

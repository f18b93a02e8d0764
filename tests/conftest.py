"""What all tests may use: a PostgreSQL server of their own, a fresh database, and both kinds of database in turn."""

import os
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import pytest
from sqlalchemy import Engine, event
from tests.postgres_support import NOT_HERE, Server, binaries
from tests.quick_stores import fresh, migrate

from threequarter.language.measures import use_units
from threequarter.store.accounts import passwords
from threequarter.store.database import engines
from threequarter.store.store import Store

if TYPE_CHECKING:
    from tests.s3_support import S3Server

os.environ.setdefault("THREEQUARTER_BACKUPS", "off")  # a regular backup in the middle of a test would only slow it
os.environ["LANGUAGE"] = "en"  # whatever this computer speaks: a test that wants another language says so


@pytest.fixture(autouse=True)
def usual_units() -> None:
    """Each test begins with the units of the locale: a command sets them to the end of its process."""
    use_units(None)


@pytest.fixture(autouse=True)
def quick_hashes(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Passwords are hashed at the least cost that Argon2 allows, save in a test marked `real_hashes`."""
    if request.node.get_closest_marker("real_hashes") is None:
        monkeypatch.setattr(passwords, "MEMORY_KIB", 8)
        monkeypatch.setattr(passwords, "PASSES", 1)


@pytest.fixture(autouse=True)
def quick_stores(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """A fresh SQLite file gets its schema at once, save in a test marked `real_migrations`."""
    if request.node.get_closest_marker("real_migrations") is None:
        monkeypatch.setattr(engines, "_migrate", migrate)


@pytest.fixture(autouse=True)
def closed_servers(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """No connection to PostgreSQL outlives the test that opened it: a later one would be blamed for it."""
    opened: list[Engine] = []
    taken: dict[int, Any] = {}
    open_server = engines.postgres.open_server

    def remembered(*about: Any, **more: Any) -> Engine:
        opened.append(open_server(*about, **more))
        event.listen(opened[-1], "checkout", lambda connection, *_: taken.setdefault(id(connection), connection))
        return opened[-1]

    monkeypatch.setattr(engines.postgres, "open_server", remembered)
    yield
    for engine in opened:
        engine.dispose()
    for connection in taken.values():
        connection.close()  # nothing happens to one that is closed


@pytest.fixture(scope="session")
def postgres() -> Iterator[Server]:
    """A running PostgreSQL, one for the whole run; its tests are skipped loudly where there is none."""
    if binaries() is None:
        pytest.skip(NOT_HERE)
    server = Server()
    try:
        server.start()
        yield server
    finally:
        server.remove()


@pytest.fixture
def postgres_url(postgres: Server) -> Iterator[str]:
    """The URL of a fresh PostgreSQL database."""
    url = postgres.url()
    yield url
    postgres.drop(url)


BOTH: Final = ["sqlite", pytest.param("postgresql", marks=pytest.mark.slow)]


@pytest.fixture(params=BOTH)
def database_url(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[str | None]:
    """Runs a test twice: on the file of the data folder (None), and on a fresh PostgreSQL, whose URL is also in the environment."""
    if request.param == "sqlite":
        monkeypatch.delenv("THREEQUARTER_DATABASE_URL", raising=False)
        yield None
        return
    server: Server = request.getfixturevalue("postgres")
    url = server.url() if request.node.get_closest_marker("real_migrations") else fresh(server)
    monkeypatch.setenv("THREEQUARTER_DATABASE_URL", url)
    yield url
    server.drop(url)


@pytest.fixture(params=BOTH)
def either_database(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    """Runs a test twice: each data folder with its file, and each with a PostgreSQL database of its own in place of it."""
    if request.param == "sqlite":
        yield "sqlite"
        return
    server: Server = request.getfixturevalue("postgres")
    urls: dict[Path, str] = {}
    stores: list[Store] = []
    opened = Store.open

    def open_on_postgres(data_dir: Path, url: str | None = None) -> Store:
        if data_dir not in urls:
            urls[data_dir] = fresh(server)
        stores.append(opened(data_dir, url or urls[data_dir]))
        return stores[-1]

    monkeypatch.setattr(Store, "open", open_on_postgres)
    yield "postgresql"
    for store in stores:
        store.close()
    for url in urls.values():
        server.drop(url)


@pytest.fixture(scope="session")
def s3() -> "Iterator[S3Server]":
    """A running server of the S3 protocol, one for the whole run."""
    from tests.s3_support import S3Server

    server = S3Server()
    yield server
    server.remove()


@pytest.fixture
def bucket(s3: "S3Server", monkeypatch: pytest.MonkeyPatch) -> str:
    """A new bucket, named to every store that is opened from now on."""
    from tests.s3_support import name_bucket

    name = s3.bucket()
    name_bucket(monkeypatch, s3, name)
    return name


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """What could not be tested on this machine is said at the end, never passed in silence."""
    reasons = {
        str(report.longrepr[2]).removeprefix("Skipped: ")
        for report in terminalreporter.stats.get("skipped", [])
        if isinstance(report.longrepr, tuple)
    }
    for reason in sorted(reason for reason in reasons if reason.startswith("NOT TESTED HERE")):
        terminalreporter.write_line(reason, red=True, bold=True)

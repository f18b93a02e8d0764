"""The SQLite library: the one of the wheel `pysqlite3`, which is new enough; where no wheel is made, Python's own.

Either way the version is checked before a database is opened (`engines.safe_version`).
"""

import importlib
from collections.abc import Callable
from functools import cache
from typing import Any, Final

MALFORMED: Final = "database disk image is malformed"


def library() -> Any:
    """The driver's module."""
    try:
        return importlib.import_module("pysqlite3.dbapi2")
    except ImportError:  # no wheel for Macs with an Intel processor and for Linux on ARM
        return importlib.import_module("sqlite3")


@cache
def connection_class() -> Any:
    """Connections of the driver on which damage is an error of the database, also where its own words are damaged.

    What SQLite says of a damaged schema quotes it; where that is no UTF-8 any more, the driver fails over the words.
    """
    driver = library()

    def told(do: Callable[..., Any], *asked: Any) -> Any:
        try:
            return do(*asked)
        except UnicodeDecodeError:
            raise driver.DatabaseError(MALFORMED) from None

    class Cursor(driver.Cursor):  # type: ignore[misc,name-defined]
        def execute(self, *asked: Any) -> Any:
            return told(super().execute, *asked)

        def executemany(self, *asked: Any) -> Any:
            return told(super().executemany, *asked)

    class Connection(driver.Connection):  # type: ignore[misc,name-defined]
        def cursor(self, factory: Any = Cursor) -> Any:
            return super().cursor(factory)

        def execute(self, *asked: Any) -> Any:
            return told(super().execute, *asked)

        def commit(self) -> None:
            told(super().commit)

    return Connection

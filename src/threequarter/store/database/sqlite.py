"""The SQLite library: the one of the wheel `pysqlite3`, which is new enough; where no wheel is made, Python's own.

Either way the version is checked before a database is opened (`engines.safe_version`).
"""

import importlib
from typing import Any


def library() -> Any:
    """The driver's module."""
    try:
        return importlib.import_module("pysqlite3.dbapi2")
    except ImportError:  # no wheel for Macs with an Intel processor and for Linux on ARM
        return importlib.import_module("sqlite3")

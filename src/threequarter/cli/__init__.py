"""Commands: thin callers of the same functions the pages call.

Each command is a module `cli/<name>.py` that holds a click command named `command`; it is imported only when asked
for, so that `--help` stays fast.
"""

from threequarter.cli.main import main

__all__ = ["main"]

"""Files that are being looked at and not kept yet: on disk under their own hash, gone after a day."""

import hashlib
import json
import os
import re
import time
from pathlib import Path
from typing import Final

from threequarter.golf.errors import UserError
from threequarter.language.localize import _
from threequarter.store.accounts.current_user import current_user

DAY_S: Final = 86_400


class Pending:
    """A folder of files by content."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        folder.mkdir(parents=True, exist_ok=True)
        for old in folder.iterdir():
            if old.stat().st_mtime < time.time() - DAY_S:
                old.unlink(missing_ok=True)

    def put(self, name: str, content: bytes, kind: str) -> str:
        """Keeps a file for a while; returns its key."""
        owner = str(_owner()).encode()
        key = hashlib.sha256(b"\0".join((owner, kind.encode(), name.encode(), content))).hexdigest()[:32]
        head = json.dumps({"name": name[:300], "kind": kind, "owner": _owner()}).encode()
        partial = self.folder / f"{key}.{os.getpid()}.part"
        partial.write_bytes(head + b"\n" + content)
        partial.replace(self.folder / key)
        return key

    def get(self, key: str) -> tuple[str, bytes, str]:
        """Name, content and kind of a file. Raises UserError where it is gone."""
        path = self.folder / key
        if not re.fullmatch(r"[0-9a-f]{32}", key) or not path.is_file():
            raise UserError(_("This file is no longer here: you dropped it more than a day ago. Drop it again."))
        head, content = path.read_bytes().split(b"\n", 1)
        told = json.loads(head)
        if told.get("owner", 0) != _owner():
            raise UserError(_("This file is no longer here: you dropped it more than a day ago. Drop it again."))
        return told["name"], content, told["kind"]


def _owner() -> int:
    """Whose file it is: the account that is acting, 0 on a laptop without accounts."""
    who = current_user()
    return who.account_id if who else 0

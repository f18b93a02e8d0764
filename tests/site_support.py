"""The folder for a web host on a plain file server that can be ended and begun again, and a phone that visits it."""

import functools
import http.server
import threading
from pathlib import Path
from typing import Any, Final

from bucket_support import ready
from threequarter.web.site import write_site

STORES: Final = """(async () => {
    const found = { balls: [], buckets: [], tests: [] };
    for (const { name } of await indexedDB.databases()) {
        const base = await new Promise((done) => {
            const asked = indexedDB.open(name);
            asked.onsuccess = () => done(asked.result);
        });
        for (const store of base.objectStoreNames) {
            const rows = base.transaction(store).objectStore(store).getAll();
            found[store] = await new Promise((done) => { rows.onsuccess = () => done(rows.result); });
        }
        base.close();
    }
    return found;
})()"""


class Host:
    """`python -m http.server` in a thread, over a folder that holds the pages under a path; it can be ended and begun again."""

    def __init__(self, root: Path) -> None:
        self.root, self.port, self.up = root, 0, False
        self.folder = root / "some" / "where"
        write_site(self.folder)
        self.begin()

    def begin(self) -> None:
        class Quiet(http.server.SimpleHTTPRequestHandler):
            def log_message(self, *_args: Any) -> None:
                """Says nothing."""

        if self.up:
            return
        handler = functools.partial(Quiet, directory=str(self.root))
        self.server = http.server.ThreadingHTTPServer(("127.0.0.1", self.port), handler)
        self.port = self.server.server_port
        threading.Thread(target=self.server.serve_forever, daemon=True).start()
        self.up = True

    def end(self) -> None:
        if self.up:
            self.server.shutdown()
            self.server.server_close()
        self.up = False

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}/some/where/"


def new_bucket(page: Any, host: Host, player: str = "Lark Fenn") -> str:
    """Begins a bucket of six shots; returns its number on this phone, as the address bears it."""
    page.goto(host.address)
    page.fill("#player", player)
    page.fill("#clubs", "54, 58")
    page.fill("#swings", "knee, waist, chest")
    page.get_by_role("button", name="Start").click()
    page.wait_for_url("**/keys.html#*")
    ready(page)
    return str(page.url).partition("#")[2]


def stores(page: Any) -> dict[str, list[dict[str, Any]]]:
    """Everything in the phone's own stores."""
    return dict(page.evaluate(STORES))

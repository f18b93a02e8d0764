"""Beside a server: once balls were kept, moved or taken back, the standing charts of their players are computed before anybody asks."""

import logging
import threading
from typing import Final

from threequarter.app import kept_charts
from threequarter.app.charts_ahead import ChartsAhead, ComputingError
from threequarter.app.standing import standing_chart
from threequarter.golf.errors import UserError
from threequarter.golf.player import name_key
from threequarter.store.accounts.current_user import CurrentUser, as_user
from threequarter.store.balls.touched import Look, look, touched
from threequarter.store.imports.save_import import now_utc
from threequarter.store.store import Store

LOG: Final = logging.getLogger("threequarter.charts")
ROUND_S: Final = 3.0
PATIENT_ROUNDS: Final = 5
"""While balls go on coming nothing is computed, but no longer than so many rounds."""
MOST: Final = 40
"""Players at one time; who is looked at sooner goes first anyhow."""

State = tuple[int, int, int, int]
"""How far the rows go, and how many acts this server did."""


class WarmUp:
    """Looks every few seconds whether anything was written, which costs three numbers where nothing was."""

    def __init__(self, store: Store) -> None:
        self.store, self.ahead = store, ChartsAhead(store.data_dir)
        self._over = threading.Event()
        self._looked: Look | None = None
        self._seen: State | None = None
        self._done: State | None = None
        self._waited = 0

    def start(self) -> None:
        """Begins, with the players of the newest days."""
        self.ahead.start()
        threading.Thread(target=self._run, name="warm-up", daemon=True).start()

    def stop(self) -> None:
        """Ends at once."""
        self._over.set()
        self.ahead.stop()

    def _run(self) -> None:
        while not self._over.wait(ROUND_S):
            try:
                self.round()
            except UserError as error:
                LOG.info("charts are computed later: %s", error)
            except Exception:
                LOG.warning("charts were not computed ahead", exc_info=True)

    def round(self) -> None:
        """Computes what was touched since the last time, once it is quiet."""
        with self.store.reading() as session:
            now = look(session, now_utc())
        state = (now.ball, now.edit, now.act, self.store.acts)
        before, self._seen = self._seen, state
        if state == self._done:
            self.ahead.rest()
            return
        if before not in (None, state) and self._waited < PATIENT_ROUNDS:
            self._waited += 1
            return
        with self.store.reading() as session:
            players = touched(session, self._looked, MOST)
        self._looked, self._done, self._waited = now, state, 0
        for number, name in (dict(players) | self.ahead.lately).items():
            if not self._over.is_set():
                self.compute(number, name)

    def compute(self, number: int, name: str) -> bool:
        """Has the chart of a player computed where it is not kept; whether it is there now, and not still being computed."""
        with as_user(CurrentUser(account_id=0, name="", role="nobody", players=(number,))):
            known = self.store.revisions([name]).get(name_key(name))
            if known and not kept_charts.kept(self.store.data_dir, *known):
                try:
                    standing_chart(self.store, name)
                except ComputingError:
                    return False
        return True

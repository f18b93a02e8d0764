"""How well a player knows their distances, ready for the player's page."""

from typing import Any

from markupsafe import Markup
from sqlalchemy import select

from threequarter.golf.player import name_key
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.language import lines, localize
from threequarter.paper.pictures.guess_picture import guess_picture
from threequarter.practice.guessing import Guess, guessing, messages
from threequarter.store.database.schema import BallRow, ImportRow, PlayerRow, SessionRow
from threequarter.store.store import Store


def guesses_view(store: Store, player: str, unit: DistanceUnit) -> dict[str, Any]:
    """The sentences, the picture and the table of a player's guesses; empty without any."""
    found = guessing([guess for session in _sessions(store, player) for guess in _guesses(store, session)])
    if found is None:
        return {"guesses": ()}
    rows = [
        {
            "day": one.day,
            "balls": one.balls,
            "error": localize.number(from_metres(one.mean_error_m, unit), 1, sign=True),
            "miss": localize.number(from_metres(one.mean_miss_m, unit), 1),
        }
        for one in reversed(found.days)
    ]
    return {
        "guesses": lines(messages(found), unit),
        "guess_rows": rows,
        "guess_unit": unit,
        "guess_wide": Markup(guess_picture(found, unit)),
        "guess_narrow": Markup(guess_picture(found, unit, width=360)),
    }


def _sessions(store: Store, player: str) -> list[int]:
    """The player's sessions in which something was guessed."""
    with store.reading() as session:
        return list(
            session.scalars(
                select(SessionRow.id)
                .join(PlayerRow, SessionRow.player_id == PlayerRow.id)
                .join(ImportRow, ImportRow.session_id == SessionRow.id)
                .join(BallRow, BallRow.import_id == ImportRow.id)
                .where(
                    PlayerRow.name_key == name_key(player),
                    SessionRow.binned_at.is_(None),
                    BallRow.body.contains('"guess_m"'),
                )
                .distinct()
            )
        )


def _guesses(store: Store, session_id: int) -> list[Guess]:
    day = store.facts(session_id).held_on or store.session(session_id).made_at.date()
    return [
        Guess(day=day, error_m=ball.guess_m - ball.distance_m)
        for ball in store.session_balls(session_id)
        if ball.use and ball.guess_m is not None
    ]

"""The plan that every page, command and print asks: the player's own where there is one, else what the balls show."""

from collections.abc import Sequence

from threequarter.golf.plan import Plan, plan_of_balls
from threequarter.store.people.plans import Plans
from threequarter.store.store import Store


def plan_of(store: Store, session_id: int) -> Plan:
    """The plan of the player of a session; where nobody made one, the clubs and swing lengths of its balls."""
    return Plans(store).of_session(session_id) or plan_of_balls(store.session_balls(session_id))


def plan_of_player(store: Store, player: str) -> Plan:
    """The plan of a player; where nobody made one, the clubs and swing lengths of all balls."""
    stored = Plans(store).of_player(player)
    if stored is not None:
        return stored
    return plan_of_balls([ball for info in store.sessions([player]) for ball in store.session_balls(info.id)])


def begin_plan(
    store: Store, session_id: int, clubs: Sequence[str], swings: Sequence[str], *, chosen: bool = False
) -> None:
    """Makes the clubs and lengths that a day begins with the plan of its player, where there is none yet. Where somebody chose
    them (`chosen`) they are added to the plan there is."""
    Plans(store).begin_with(session_id, clubs, swings, widen=chosen)

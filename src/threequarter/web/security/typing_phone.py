"""A phone that came over plain http, on a laptop without accounts: it types balls and reads back the sessions it began, nothing else.

Whoever listens on the network reads what it reads and can send its cookie too, over https as well; so a pairing made over plain http
never opens more than typing, and what is asked over plain http is typing, whoever asks.
"""

from sqlalchemy import select
from starlette.requests import HTTPConnection

from threequarter.store.accounts.current_user import CurrentUser
from threequarter.store.database.schema import SessionRow
from threequarter.store.store import Store
from threequarter.web.phones.pairing import COOKIE, Pairing
from threequarter.web.security.policy import OPEN, Need


def phone_that_types(connection: HTTPConnection) -> CurrentUser | None:
    """As whom a phone acts that may only type: it sees the sessions it began. None for one that was paired over https and asks so."""
    pairing: Pairing | None = connection.app.state.pairing
    phone = pairing.phone_of(connection.cookies.get(COOKIE, "")) if pairing else None
    if phone is not None and phone.sealed and connection.scope["scheme"] == "https":
        return None
    store: Store = connection.app.state.store
    with store.reading() as session:
        begun = select(SessionRow.id, SessionRow.player_id).where(SessionRow.key.in_(phone.begun if phone else ()))
        rows = session.execute(begun).all()
    players = tuple({row.player_id for row in rows if row.player_id is not None})
    return CurrentUser(account_id=0, name="", role="link", players=players, sessions=tuple(row.id for row in rows))


def may_type(connection: HTTPConnection, need: Need, phone: CurrentUser) -> bool:
    """Whether such a phone is let through: what anybody may see, and typing into a session that it began itself."""
    named = connection.path_params.get("session_id")
    own = named is None or str(named) in {str(number) for number in phone.sessions or ()}
    return need.level is OPEN or (need.typing and own)


def note_begun(connection: HTTPConnection, session_id: int) -> None:
    """Notes that a phone began a session, so that it may go on with it over plain http."""
    pairing: Pairing | None = connection.app.state.pairing
    secret = connection.cookies.get(COOKIE, "")
    if pairing and secret and getattr(connection.state, "types_only", False):
        store: Store = connection.app.state.store
        with store.reading() as session:
            pairing.note_begun(secret, session.get_one(SessionRow, session_id).key)

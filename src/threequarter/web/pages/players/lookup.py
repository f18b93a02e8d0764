"""Players by the name in an address."""

from fastapi import Request

from threequarter.golf.errors import NotThereError
from threequarter.language.localize import _
from threequarter.store.people.roster import Roster
from threequarter.web.page_context import store_of


def known_player(request: Request, name: str) -> str:
    """The name of a player as kept. Raises NotThereError for a stranger."""
    known = Roster(store_of(request)).known(name)
    if known is None:
        raise NotThereError(_("There is no player {name}.").format(name=repr(name[:80])))
    return known

"""The people: a head sees coaches, rooms and all accounts; a coach the accounts of their own players. And who did
what."""

from typing import Annotated, Any, Final

from fastapi import Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlalchemy import select

from threequarter.golf.errors import NotThereError, UserError
from threequarter.language import say_error
from threequarter.language.localize import N_, _
from threequarter.store.accounts import audit
from threequarter.store.accounts.accounts import INVITATION_LIVES, Account, Accounts
from threequarter.store.accounts.settings import CLIP_MONTHS, HEADS_SEE, SECOND_STEP, USUAL, set_setting, setting
from threequarter.store.database.schema import PlayerRow
from threequarter.web.page_context import page, store_of
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.policy import COACH, HEAD, need
from threequarter.web.security.sign_in import link_of, who_of

pages = AuthorizedRouter()
LINES: Final = 200


def _people(request: Request) -> Accounts:
    return Accounts(store_of(request))


@pages.get("/people", response_class=HTMLResponse, dependencies=[need(COACH)])
def people(request: Request) -> HTMLResponse:
    """Everybody there is to manage for whoever asks."""
    return _page(request)


def _page(request: Request, status: int = 200, **values: Any) -> HTMLResponse:
    who, store = who_of(request), store_of(request)
    accounts, rooms = _people(request).all(), _people(request).rooms()
    mine = {number for number, _name in rooms.get(who.room or 0, [])}
    head = who.role == "head"
    coaches = [one for one in accounts if one.role in ("head", "coach")]
    shown = [
        one
        for one in accounts
        if one.role in ("player", "guardian") and (head or (one.players and {i for i, _n in one.players} <= mine))
    ]
    return page(
        request,
        "accounts/people.html",
        status,
        head=head,
        coaches=coaches if head else [],
        rooms=rooms,
        others=shown,
        players=rooms.get(who.room or 0, []),
        months=setting(store, CLIP_MONTHS),
        heads_see=setting(store, HEADS_SEE) == "yes",
        demanded=setting(store, SECOND_STEP),
        names={one.id: one.name for one in accounts},
        **values,
    )


def _mine(request: Request, player_id: int) -> int:
    """A player of the room of whoever asks. Raises UserError for another's, as for one who is not there."""
    with store_of(request).reading() as session:
        found = session.scalar(select(PlayerRow.id).where(PlayerRow.id == player_id))
    if found is None:
        raise NotThereError(_("There is no such player."))
    return int(found)


@pages.post("/people", dependencies=[need(COACH, N_("made an account"))])
def add(
    request: Request,
    role: Annotated[str, Form()],
    name: Annotated[str, Form()] = "",
    sign_in: Annotated[str, Form()] = "",
    player: Annotated[int, Form()] = 0,
) -> HTMLResponse:
    """A new account and its one-time link, which is shown once."""
    who = who_of(request)
    if role in ("head", "coach") and who.role != "head":
        raise UserError(_("Only a head can make accounts for coaches."))
    try:
        tied = (_mine(request, player),) if role in ("player", "guardian") else ()
        account_id = _people(request).add(role, name, sign_in, players=tied)
    except UserError as error:
        return _page(request, 400, problem=say_error(error))
    return _invited(request, account_id)


def _invited(request: Request, account_id: int) -> HTMLResponse:
    secret = _people(request).invite(account_id, made_by=who_of(request).account_id)
    account = _people(request).one(account_id)
    link = link_of(request, f"/invitation/{secret}")
    return page(
        request,
        "accounts/made_link.html",
        title=_("Invitation for {name}").format(name=account.name),
        link=link,
        days=INVITATION_LIVES.days,
        once=True,
        second_step=account.second_step,
        back="/people",
    )


@pages.post("/people/{account_id}/invite", dependencies=[need(COACH, N_("made an invitation"))])
def invite(request: Request, account_id: int, replaces: Annotated[str, Form()] = "") -> HTMLResponse:
    """A new one-time link; earlier ones end. For somebody who has a way in it is an act of its own: asked for once more,
    in the record, and told to that person on every page until it ends."""
    account = _people(request).one(account_id)
    _not_higher(request, account)
    if account.password or account.passkeys:
        if replaces != "yes":
            return page(request, "accounts/replaces.html", account=account)
        audit.record(store_of(request), N_("made a link that takes over an account"), kind="account", number=account_id)
    return _invited(request, account_id)


def _not_higher(request: Request, account: Account) -> None:
    """A coach manages the accounts of their players only; the door has looked that up, this says it for roles."""
    if account.role in ("head", "coach") and who_of(request).role != "head":
        raise UserError(_("Only a head can manage the accounts of coaches."))


@pages.post("/people/{account_id}/revoke", dependencies=[need(COACH, N_("ended an invitation"))])
def revoke(request: Request, account_id: int) -> RedirectResponse:
    """Ends the open invitation of an account."""
    _people(request).revoke_invitation(account_id)
    return RedirectResponse("/people", status_code=303)


@pages.post("/people/{account_id}/end", dependencies=[need(COACH, N_("ended an account"))])
def end(request: Request, account_id: int) -> RedirectResponse:
    """Ends an account; what is kept of players stays."""
    _not_higher(request, _people(request).one(account_id))
    _people(request).end(account_id)
    return RedirectResponse("/people", status_code=303)


@pages.post("/people/{account_id}/reopen", dependencies=[need(COACH, N_("opened an account again"))])
def reopen(request: Request, account_id: int) -> RedirectResponse:
    """Opens an ended account again."""
    _not_higher(request, _people(request).one(account_id))
    _people(request).reopen(account_id)
    return RedirectResponse("/people", status_code=303)


@pages.post("/people/{account_id}/role", dependencies=[need(HEAD, N_("changed a role"))])
def role(request: Request, account_id: int, role: Annotated[str, Form()]) -> RedirectResponse:
    """Makes a coach a head, or a head a coach."""
    _people(request).set_role(account_id, role)
    return RedirectResponse("/people", status_code=303)


@pages.post("/people/{account_id}/tie", dependencies=[need(COACH, N_("let an account see a player"))])
def tie(request: Request, account_id: int, player: Annotated[int, Form()]) -> RedirectResponse:
    """Lets an account see one more player of the room: a sister, a brother."""
    _people(request).tie(account_id, _mine(request, player))
    return RedirectResponse("/people", status_code=303)


@pages.post("/people/{account_id}/untie", dependencies=[need(COACH, N_("let an account see a player no more"))])
def untie(request: Request, account_id: int, player: Annotated[int, Form()]) -> RedirectResponse:
    """Lets an account see a player no more."""
    _people(request).untie(account_id, player)
    return RedirectResponse("/people", status_code=303)


@pages.post("/people/hand-over", dependencies=[need(HEAD, N_("handed a player over"))])
def hand_over(request: Request, player: Annotated[int, Form()], coach: Annotated[int, Form()]) -> Response:
    """Gives a player to another coach, with all that is kept of them."""
    try:
        _people(request).hand_over(player, coach)
    except UserError as error:
        return _page(request, 400, problem=say_error(error))
    audit.record(store_of(request), "handed over", kind="account", number=coach, player_id=player)
    return RedirectResponse("/people?handed=1", status_code=303)


@pages.post("/people/settings", dependencies=[need(HEAD, N_("changed a setting"))])
def settings(
    request: Request,
    months: Annotated[str, Form()] = "",
    heads_see: Annotated[str, Form()] = "no",
    second_step: Annotated[str, Form()] = USUAL[SECOND_STEP],
) -> Response:
    """How long films are kept, whether heads open the rooms of coaches, of whom a second step is demanded."""
    try:
        set_setting(store_of(request), CLIP_MONTHS, months.strip())
        set_setting(store_of(request), HEADS_SEE, "yes" if heads_see == "yes" else "no")
        set_setting(store_of(request), SECOND_STEP, second_step)
    except UserError as error:
        return _page(request, 400, problem=say_error(error))
    return RedirectResponse("/people?kept=1", status_code=303)


@pages.get("/audit", response_class=HTMLResponse, dependencies=[need(HEAD)])
def record(request: Request, account: int | None = None, player: int | None = None) -> HTMLResponse:
    """Who did or looked at what, the newest first; of one account, or about one player."""
    found = audit.lines(store_of(request), most=LINES, account_id=account, player_id=player)
    return page(
        request,
        "accounts/audit.html",
        lines=found,
        account=account,
        player=player,
        accounts=_people(request).all(),
        years=audit.KEPT.days // 365,
        most=LINES,
    )

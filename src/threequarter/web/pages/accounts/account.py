"""One's own account: passkeys, password, where one is signed in; for a head, whose room is open."""

from typing import Annotated, Any

from fastapi import Body, Form, Request
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse, Response

from threequarter.golf.errors import UserError
from threequarter.language import say_error
from threequarter.language.localize import N_, _
from threequarter.store.accounts import audit, passwords
from threequarter.store.accounts.accounts import Accounts
from threequarter.store.accounts.current_user import NOBODYS
from threequarter.store.accounts.passkeys import passkeys_of, remove_passkey
from threequarter.store.accounts.second_factor import SecondFactor
from threequarter.store.accounts.settings import HEADS_SEE, setting
from threequarter.store.accounts.sign_ins import SignIns
from threequarter.web.page_context import page, store_of
from threequarter.web.problem import problem
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.credentials import address_of
from threequarter.web.security.policy import MYSELF, need
from threequarter.web.security.sign_in import drop_cookie, fresh_only, hashing, passkeys_for, signed_in_of, who_of

pages = AuthorizedRouter()


@pages.get("/account", response_class=HTMLResponse, dependencies=[need(MYSELF)])
def account_page(request: Request) -> HTMLResponse:
    """Everything about one's own way in."""
    return _account(request)


def _account(request: Request, status: int = 200, **values: Any) -> HTMLResponse:
    store, who, here = store_of(request), who_of(request), signed_in_of(request)
    return page(
        request,
        "accounts/account.html",
        status,
        account=Accounts(store).one(who.account_id),
        keys=passkeys_of(store, who.account_id),
        browsers=SignIns(store).of(who.account_id, here.id),
        passkeys=passkeys_for(request) is not None,
        fresh=here.fresh,
        second=SecondFactor(store).state(who.account_id),
        least=passwords.SHORTEST,
        most=passwords.LONGEST,
        **values,
    )


@pages.post("/account/new-link/revoke", dependencies=[need(MYSELF)])
def revoke_new_link(request: Request) -> RedirectResponse:
    """Takes back a link that somebody made to one's own account."""
    store, who = store_of(request), who_of(request)
    Accounts(store).revoke_invitation(who.account_id)
    audit.record(store, N_("took back a link to their account"), account_id=who.account_id)
    return RedirectResponse("/account", status_code=303)


@pages.post("/account/password", dependencies=[need(MYSELF)])
async def change_password(
    request: Request,
    old: Annotated[str, Form()] = "",
    new: Annotated[str, Form()] = "",
    again: Annotated[str, Form()] = "",
) -> Response:
    """Another password; every other browser is signed out."""
    who, here = who_of(request), signed_in_of(request)
    if new != again:
        return _account(request, 400, problem=_("The two passwords are not the same."))
    try:
        await hashing(
            lambda: SignIns(store_of(request)).change_password(
                who.account_id, old[: passwords.LONGEST + 1], new, this=here.id
            )
        )
    except UserError as error:
        return _account(request, 400, problem=say_error(error))
    audit.record(store_of(request), "changed the password", address=address_of(request.scope))
    return RedirectResponse("/account?changed=1", status_code=303)


@pages.post("/account/passkeys/begin", dependencies=[need(MYSELF)])
def begin_passkey(request: Request) -> Response:
    """What the browser needs to make a passkey."""
    keys = passkeys_for(request)
    try:
        fresh_only(request)
        if keys is None:
            raise UserError(_("Passkeys need https, or localhost on this computer."))
        told = keys.begin_making(who_of(request).account_id)
    except UserError as error:
        return problem(400, say_error(error))
    return Response(told, media_type="application/json", headers={"cache-control": "no-store"})


@pages.post("/account/passkeys", dependencies=[need(MYSELF)])
def keep_passkey(request: Request, answer: Annotated[dict[str, Any], Body()], name: str = "") -> JSONResponse:
    """Keeps the passkey that the browser made."""
    keys = passkeys_for(request)
    try:
        fresh_only(request)
        if keys is None:
            raise UserError(_("Passkeys need https, or localhost on this computer."))
        keys.keep(who_of(request).account_id, answer, name)
    except UserError as error:
        return problem(400, say_error(error))
    audit.record(store_of(request), "made a passkey", address=address_of(request.scope))
    return JSONResponse({"to": "/account?passkey=1"})


@pages.post("/account/passkeys/{passkey_id}/remove", dependencies=[need(MYSELF)])
def remove(request: Request, passkey_id: int) -> RedirectResponse:
    """Takes a passkey away."""
    fresh_only(request)
    remove_passkey(store_of(request), who_of(request).account_id, passkey_id)
    audit.record(store_of(request), "removed a passkey", address=address_of(request.scope))
    return RedirectResponse("/account", status_code=303)


@pages.post("/account/sign-ins/{sign_in_id}/end", dependencies=[need(MYSELF)])
def end_one(request: Request, sign_in_id: int) -> RedirectResponse:
    """Signs another browser out."""
    SignIns(store_of(request)).end(who_of(request).account_id, sign_in_id)
    audit.record(store_of(request), "signed out", detail="one browser", address=address_of(request.scope))
    return RedirectResponse("/account", status_code=303)


@pages.post("/account/sign-out-everywhere", dependencies=[need(MYSELF)])
def end_all(request: Request) -> RedirectResponse:
    """Signs every browser out, this one too."""
    SignIns(store_of(request)).end(who_of(request).account_id)
    audit.record(store_of(request), "signed out", detail="everywhere", address=address_of(request.scope))
    answer = RedirectResponse("/sign-in?out=1", status_code=303)
    drop_cookie(request, answer)
    return answer


@pages.post("/account/room", dependencies=[need(MYSELF)])
def open_room(request: Request, room: Annotated[int, Form()]) -> RedirectResponse:
    """For a head: the players of another coach, of nobody (0), or one's own again. It stands in the record."""
    store, who, here = store_of(request), who_of(request), signed_in_of(request)
    if who.role != "head":
        raise UserError(_("Only a head can open another coach's players."))
    if room != who.account_id:
        if setting(store, HEADS_SEE) != "yes":
            raise UserError(_("A setting keeps heads from opening a coach's players."))
        if room != NOBODYS and Accounts(store).one(room).role not in ("head", "coach"):
            raise UserError(_("That is not a coach."))
    SignIns(store).open_room(here.id, None if room == who.account_id else room)
    audit.record(store, "opened a room", kind="account", number=room, address=address_of(request.scope))
    return RedirectResponse("/players", status_code=303)

"""The way in and out: signing in by password or passkey, taking an invitation, signing out."""

from typing import Annotated, Any

from fastapi import Body, Form, Request
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from threequarter.golf.errors import UserError
from threequarter.golf.player import name_key
from threequarter.language import say_error
from threequarter.language.localize import N_, _
from threequarter.store.accounts import audit, passwords, rate_limit
from threequarter.store.accounts.accounts import Accounts
from threequarter.store.accounts.second_factor import SecondFactor
from threequarter.store.accounts.sign_ins import SignIns
from threequarter.web.page_context import page, store_of
from threequarter.web.problem import problem
from threequarter.web.request_locale import own_page
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.credentials import address_of, secret_of
from threequarter.web.security.policy import OPEN, need
from threequarter.web.security.sign_in import ask_second, drop_cookie, enter, give_cookie, hashing, passkeys_for

pages = AuthorizedRouter()


@pages.get("/sign-in", response_class=HTMLResponse, dependencies=[need(OPEN)])
def sign_in_page(request: Request, back: str = "/") -> HTMLResponse:
    """Name and password, or a passkey."""
    if not Accounts(store_of(request)).any():
        return page(request, "accounts/none.html")
    return _sign_in(request, back)


def _sign_in(request: Request, back: str, status: int = 200, **values: Any) -> HTMLResponse:
    return page(
        request,
        "accounts/sign_in.html",
        status,
        back=own_page(back),
        passkeys=passkeys_for(request) is not None,
        most=passwords.LONGEST,
        **values,
    )


@pages.post("/sign-in", dependencies=[need(OPEN)])
async def sign_in(
    request: Request,
    name: Annotated[str, Form()] = "",
    password: Annotated[str, Form()] = "",
    back: Annotated[str, Form()] = "/",
) -> Response:
    """By password. An unknown name, a wrong password and an ended account answer alike and take as long."""
    return await hashing(_try, request, name, password, back)


def _try(request: Request, name: str, password: str, back: str) -> Response:
    """One try from its count to its end, in the turn that hashing gives: forty at once neither fill the memory nor wait
    for a lock."""
    store, address = store_of(request), address_of(request.scope)
    try:
        _count(request, name, address)
    except rate_limit.TooOftenError as error:
        return _sign_in(request, back, 429, problem=say_error(error), name=name[:300])
    account_id = SignIns(store).by_password(name, password) if len(password) <= passwords.LONGEST else None
    if account_id is None:
        _bad(request, name, address)
        return _sign_in(request, back, 401, problem=_("Wrong name or password."), name=name[:300])
    rate_limit.forget_tries(store, "name from", _from(name, address))
    rate_limit.forget_tries(store, "name", name_key(name))
    if SecondFactor(store).state(account_id).on:
        return ask_second(request, account_id, back)
    return enter(request, account_id, "password", back)


def _count(request: Request, name: str, address: str) -> None:
    store = store_of(request)
    rate_limit.count_try(store, "address", address, rate_limit.MOST_BY_ADDRESS)
    rate_limit.count_try(store, "name from", _from(name, address), rate_limit.MOST_BY_NAME)
    rate_limit.count_try(store, "name", name_key(name), rate_limit.MOST_BY_NAME_ANYWHERE)


def _from(name: str, address: str) -> str:
    return f"{name_key(name)}\0{address}"


def _bad(request: Request, name: str, address: str) -> None:
    """What was typed is not kept: it might be the password."""
    number = Accounts(store_of(request)).number_of(name)
    audit.record(store_of(request), "sign-in failed", account_id=number, detail="password", address=address)


@pages.post("/sign-in/passkey/begin", dependencies=[need(OPEN)])
def begin_passkey(request: Request) -> Response:
    """What the browser asks its passkeys."""
    keys = passkeys_for(request)
    if keys is None or not passwords.possible():
        return problem(400, _("Passkeys need https, or localhost on this computer."))
    try:
        rate_limit.count_try(store_of(request), "passkey", address_of(request.scope), rate_limit.MOST_BY_ADDRESS)
    except rate_limit.TooOftenError as error:
        return problem(429, say_error(error))
    return Response(keys.begin_sign_in(), media_type="application/json", headers={"cache-control": "no-store"})


@pages.post("/sign-in/passkey", dependencies=[need(OPEN)])
def sign_in_by_passkey(request: Request, answer: Annotated[dict[str, Any], Body()], back: str = "/") -> JSONResponse:
    """By passkey: possession of the device, and the person verified by it."""
    keys, store = passkeys_for(request), store_of(request)
    try:
        if keys is None:
            raise UserError(_("Passkeys need https, or localhost on this computer."))
        account_id = keys.sign_in(answer)
    except UserError as error:
        audit.record(store, "sign-in failed", account_id=0, detail="passkey", address=address_of(request.scope))
        return problem(401, say_error(error))
    done = JSONResponse({"to": own_page(back)})
    give_cookie(request, done, account_id, "passkey")
    return done


@pages.post("/sign-out", dependencies=[need(OPEN)])
def sign_out(request: Request) -> RedirectResponse:
    """Ends this browser's sign-in."""
    store, secret = store_of(request), secret_of(request)
    found = SignIns(store).who(secret) if secret else None
    if found is not None:
        SignIns(store).end(found.who.account_id, found.id)
        audit.record(store, "signed out", account_id=found.who.account_id, address=address_of(request.scope))
    answer = RedirectResponse("/sign-in?out=1", status_code=303)
    drop_cookie(request, answer)
    return answer


@pages.get("/invitation/{secret}", response_class=HTMLResponse, dependencies=[need(OPEN)])
def invitation_page(request: Request, secret: str) -> HTMLResponse:
    """Whom the link is for, and how they want to sign in."""
    return _invitation(request, secret)


def _invitation(request: Request, secret: str, status: int = 200, **values: Any) -> HTMLResponse:
    account = Accounts(store_of(request)).invited(secret)
    if account is None:
        answer = page(request, "accounts/no_invitation.html", 404)
    else:
        answer = page(
            request,
            "accounts/invitation.html",
            status,
            account=account,
            secret=secret,
            least=passwords.SHORTEST,
            most=passwords.LONGEST,
            **values,
        )
    return answer


@pages.post("/invitation/{secret}", dependencies=[need(OPEN)])
async def take_invitation(
    request: Request, secret: str, password: Annotated[str, Form()] = "", again: Annotated[str, Form()] = ""
) -> Response:
    """Keeps the password and signs in."""
    if not passwords.possible():
        raise UserError(_("Accounts need the academy extra. Run: pip install 'threequarter[academy]'"))
    if password != again:
        return await run_in_threadpool(
            _invitation, request, secret, 400, problem=_("The two passwords are not the same.")
        )
    return await hashing(_take, request, secret, password)


def _take(request: Request, secret: str, password: str) -> Response:
    people = Accounts(store_of(request))
    before = people.invited(secret)
    try:
        account_id = people.accept(secret, password)
    except UserError as error:
        return _invitation(request, secret, 400, problem=say_error(error))
    if before is None or not before.second_step:
        return enter(request, account_id, "invitation", "/account?new=1")
    audit.record(
        store_of(request),
        N_("switched the second step off"),
        account_id=account_id,
        detail="invitation",
        address=address_of(request.scope),
    )
    return enter(request, account_id, "invitation", "/account?new=1&second=gone")

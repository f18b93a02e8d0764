"""The second step: asked for after the password; switched on and off, and its recovery codes made anew, at one's own
account."""

from typing import Annotated, Any
from urllib.parse import quote

from fastapi import Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from threequarter.golf.errors import UserError
from threequarter.language import say_error
from threequarter.language.localize import N_, _
from threequarter.store.accounts import audit, rate_limit
from threequarter.store.accounts.second_factor import How, SecondFactor, is_recovery
from threequarter.store.accounts.sign_ins import SignIns
from threequarter.web.page_context import page, store_of
from threequarter.web.qr import qr
from threequarter.web.request_locale import own_page
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.credentials import address_of
from threequarter.web.security.policy import MYSELF, OPEN, need
from threequarter.web.security.sign_in import drop_half, enter, fresh_only, half_of, signed_in_of, who_of

pages = AuthorizedRouter()


@pages.get("/sign-in/second", response_class=HTMLResponse, dependencies=[need(OPEN)])
def second_page(request: Request, back: str = "/") -> Response:
    """Asks for the code, once the password was right; who is not there yet begins at the beginning."""
    if SecondFactor(store_of(request)).half(half_of(request)) is None:
        return _begin_anew(request, back)
    return _second(request, back)


def _second(request: Request, back: str, status: int = 200, **values: Any) -> HTMLResponse:
    return page(request, "accounts/second_factor.html", status, back=own_page(back), **values)


def _begin_anew(request: Request, back: str) -> Response:
    return RedirectResponse(f"/sign-in?late=1&back={quote(own_page(back), safe='')}", status_code=303)


@pages.post("/sign-in/second", dependencies=[need(OPEN)])
def second(request: Request, code: Annotated[str, Form()] = "", back: Annotated[str, Form()] = "/") -> Response:
    """By the code of the app, or a recovery code."""
    steps, secret = SecondFactor(store_of(request)), half_of(request)
    account_id = steps.half(secret)
    if account_id is None:
        return _begin_anew(request, back)
    try:
        how = _tried(request, account_id, code)
    except rate_limit.TooOftenError as error:
        return _second(request, back, 429, problem=say_error(error))
    if how is None:
        return _second(request, back, 401, problem=_("That code is wrong or was already used. Wait for the next one."))
    if not steps.end_half(secret):
        return _begin_anew(request, back)
    answer = enter(request, account_id, f"password and {how}", back)
    drop_half(request, answer)
    return answer


def _tried(request: Request, account_id: int, code: str) -> How | None:
    """Takes a code once, counted and recorded. Of what is typed nothing is kept. Raises TooOftenError."""
    store, address = store_of(request), address_of(request.scope)
    rate_limit.count_code(store, account_id, address, recovery=is_recovery(code))
    how = SecondFactor(store).check(account_id, code)
    if how is None:
        audit.record(store, N_("second step failed"), account_id=account_id, address=address)
        return None
    rate_limit.forget_codes(store, account_id)
    if how == "recovery code":
        audit.record(store, N_("used a recovery code"), account_id=account_id, address=address)
    return how


@pages.get("/account/second-step", response_class=HTMLResponse, dependencies=[need(MYSELF)])
def second_step(request: Request) -> HTMLResponse:
    """What the app is set up with; or, where it is on, new recovery codes and the end of it."""
    return _page(request)


def _page(request: Request, status: int = 200, **values: Any) -> HTMLResponse:
    steps, account_id = SecondFactor(store_of(request)), who_of(request).account_id
    shared = steps.begun(account_id) if signed_in_of(request).fresh else None
    return page(
        request,
        "accounts/second_factor_asked.html",
        status,
        state=steps.state(account_id),
        shared=shared,
        picture=qr(shared.address) if shared else "",
        fresh=signed_in_of(request).fresh,
        **values,
    )


@pages.post("/account/second-step/begin", dependencies=[need(MYSELF)])
def begin(request: Request) -> RedirectResponse:
    """Makes a secret for an app to be set up with; nothing is asked for yet."""
    fresh_only(request)
    SecondFactor(store_of(request)).begin(who_of(request).account_id)
    return RedirectResponse("/account/second-step", status_code=303)


@pages.post("/account/second-step", response_class=HTMLResponse, dependencies=[need(MYSELF)])
def switch_on(request: Request, code: Annotated[str, Form()] = "") -> HTMLResponse:
    """Asks for it from now on, once the app has shown a right code; every other browser is signed out."""
    who, store, address = who_of(request), store_of(request), address_of(request.scope)
    try:
        fresh_only(request)
        rate_limit.count_code(store, who.account_id, address)
        codes = SecondFactor(store).switch_on(who.account_id, code, this=signed_in_of(request).id)
    except UserError as error:
        return _page(request, _status(error), problem=say_error(error))
    rate_limit.forget_codes(store, who.account_id)
    audit.record(store, N_("switched the second step on"), address=address)
    return page(request, "accounts/recovery_codes.html", codes=codes, begun=True)


@pages.post("/account/second-step/codes", response_class=HTMLResponse, dependencies=[need(MYSELF)])
def new_codes(request: Request, code: Annotated[str, Form()] = "") -> HTMLResponse:
    """Other recovery codes; those before end."""
    try:
        _with_code(request, code)
        codes = SecondFactor(store_of(request)).new_codes(who_of(request).account_id)
    except UserError as error:
        return _page(request, _status(error), problem=say_error(error))
    audit.record(store_of(request), N_("made new recovery codes"), address=address_of(request.scope))
    return page(request, "accounts/recovery_codes.html", codes=codes, begun=False)


@pages.post("/account/second-step/off", dependencies=[need(MYSELF)])
def switch_off(request: Request, code: Annotated[str, Form()] = "") -> Response:
    """Asks for it no more; every other browser is signed out."""
    who, store = who_of(request), store_of(request)
    try:
        _with_code(request, code)
    except UserError as error:
        return _page(request, _status(error), problem=say_error(error))
    SecondFactor(store).switch_off(who.account_id)
    SignIns(store).end(who.account_id, but=signed_in_of(request).id)
    audit.record(store, N_("switched the second step off"), address=address_of(request.scope))
    return RedirectResponse("/account?second=off", status_code=303)


def _with_code(request: Request, code: str) -> None:
    """Only soon after signing in, and with a code. Raises UserError."""
    fresh_only(request)
    if _tried(request, who_of(request).account_id, code) is None:
        raise UserError(_("That code is wrong or was already used. Wait for the next one."))


def _status(error: UserError) -> int:
    return 429 if isinstance(error, rate_limit.TooOftenError) else 400

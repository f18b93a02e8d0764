"""The page that brings a phone in: address, QR code, the steps, who is paired; and the door itself."""

from typing import Annotated, Any

from fastapi import Form, Request
from fastapi.responses import FileResponse, HTMLResponse, RedirectResponse, Response

from threequarter.golf.errors import UserError
from threequarter.language import say_error
from threequarter.language.localize import _
from threequarter.web.errors import error_answer
from threequarter.web.page_context import page
from threequarter.web.phones.announcing import Announced
from threequarter.web.phones.pairing import Pairing, TooSoonError, cookie_header
from threequarter.web.qr import qr
from threequarter.web.security.authorization import AuthorizedRouter
from threequarter.web.security.credentials import address_of
from threequarter.web.security.policy import NEVER, OPEN, need

pages = AuthorizedRouter()


def _pairing(request: Request) -> Pairing | None:
    found: Pairing | None = request.app.state.pairing
    return found


@pages.get("/phones", response_class=HTMLResponse, dependencies=[need(NEVER, here=True)])
def phones(request: Request) -> HTMLResponse:
    """On the laptop: how to bring a phone in, and which are."""
    pairing = _pairing(request)
    values: dict[str, Any] = {"on": pairing is not None, "phones": pairing.phones() if pairing else []}
    values["switch"] = request.app.state.switch_phones is not None
    if pairing:
        code = pairing.code()
        secure, plain = request.app.state.phone_addresses
        values |= {
            "code": code,
            "secure": secure,
            "plain": plain,
            "name": _name(request),
            "no_name": request.app.state.announced.why_not,
            "qr": qr(f"{plain}/pair?code={code}"),
            "qr_trust": qr(f"{plain}/trust"),
        }
    return page(request, "phones/phones.html", **values)


def _name(request: Request) -> str:
    """The https address under the announced name; "" while there is none."""
    announced: Announced | None = request.app.state.announced
    if announced is None or not announced.name:
        return ""
    return f"https://{announced.name}:{request.app.state.phone_addresses[0].rpartition(':')[2]}"


@pages.post("/phones/on", dependencies=[need(NEVER, here=True)])
def switch_on(request: Request) -> RedirectResponse:
    """Lets phones on the local network in, until threequarter is closed."""
    switch = request.app.state.switch_phones
    if switch is not None:
        switch()
    return RedirectResponse("/phones", status_code=303)


@pages.post("/phones/{phone_id}/remove", dependencies=[need(NEVER, here=True)])
def remove(request: Request, phone_id: str) -> RedirectResponse:
    """Lets a phone in no more."""
    pairing = _pairing(request)
    if pairing:
        pairing.remove(phone_id)
    return RedirectResponse("/phones", status_code=303)


@pages.get("/trust", response_class=HTMLResponse, dependencies=[need(OPEN)])
def trust(request: Request) -> HTMLResponse:
    """On the phone: the two steps that make the address trusted."""
    return page(request, "phones/trust.html", secure=request.app.state.phone_addresses[0], name=_name(request))


@pages.get("/ca.crt", dependencies=[need(OPEN)])
def authority(request: Request) -> FileResponse:
    """The authority's certificate, which a phone may trust for this laptop."""
    file = request.app.state.authority
    if file is None:
        raise UserError(_("Phones are off. Start with: threequarter serve --phones"))
    return FileResponse(file, media_type="application/x-x509-ca-cert", filename="threequarter-ca.crt")


@pages.get("/pair", response_class=HTMLResponse, dependencies=[need(NEVER, typing=True)])
def pair_page(request: Request, code: str = "") -> HTMLResponse:
    """On the phone: the code from the laptop's screen."""
    return page(request, "phones/pair.html", code=code[:8])


@pages.post("/pair", dependencies=[need(NEVER, typing=True)])
def pair(request: Request, code: Annotated[str, Form()] = "", name: Annotated[str, Form()] = "") -> Response:
    """Lets a phone in that knows the code."""
    pairing = _pairing(request)
    try:
        typed, sealed = code.replace(" ", ""), request.url.scheme == "https"
        secret = pairing.pair(typed, name, address_of(request.scope), sealed=sealed) if pairing else None
    except TooSoonError as error:
        return error_answer(request, 429, _("Not possible"), say_error(error))
    if secret is None:
        raise UserError(
            _(
                "That code is wrong, used or older than ten minutes. Look at the Phones page on the laptop: it shows a new one."
            )
        )
    answer = RedirectResponse("/bucket", status_code=303)
    answer.headers["set-cookie"] = cookie_header(secret, sealed=sealed)
    return answer

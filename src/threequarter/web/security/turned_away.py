"""What is answered to somebody who may not: to sign in, that it is not allowed, or that there is no such thing."""

from typing import Literal
from urllib.parse import quote

from fastapi import Request
from fastapi.responses import RedirectResponse, Response

from threequarter.language.localize import _
from threequarter.web.problem import wants_json

Why = Literal["sign in", "not allowed", "missing", "no account", "plain", "phone", "typing", "second step"]
MISSING = "/none"
"""The address that what is not there, or not theirs, is answered as: so that both answers are the same."""


def turned_away(request: Request, why: Why) -> Response:
    """The answer, as a page or as JSON."""
    from threequarter.web.errors import error_answer

    as_json = wants_json(request.scope["path"], request.headers)
    if why == "missing":
        path = ("/api" if as_json else "") + MISSING
        scope = {**request.scope, "path": path, "raw_path": path.encode(), "query_string": b"", "method": "GET"}
        return error_answer(Request(scope), 404, _("Not found"), _("There is no such page."))
    page_wanted = "text/html" in request.headers.get("accept", "") and not as_json
    if why == "sign in" and page_wanted and request.method == "GET":
        query = request.url.query
        back = quote(request.url.path + (f"?{query}" if query else ""), safe="")
        answer: Response = RedirectResponse("/sign-in" + (f"?back={back}" if back != "%2F" else ""), status_code=303)
    elif why == "second step" and page_wanted and request.method == "GET":
        answer = RedirectResponse("/account/second-step?demanded=1", status_code=303)
    else:
        says, status = {
            "sign in": (_("Sign in first."), 401),
            "not allowed": (_("Your account may see this but not do it. Ask your coach."), 403),
            "no account": (_("There is no account yet. On the server: threequarter account add-head NAME"), 403),
            "plain": (_not_sealed(request), 403),
            "second step": (_("Your academy asks for a second step. Switch it on at your account first."), 403),
            "typing": (_only_typing(request), 403),
            "phone": (_("A paired phone cannot do this. Do it on the laptop."), 403),
        }[why]
        answer = error_answer(request, status, _("Not possible"), says, as_json=not page_wanted)
    answer.headers["cache-control"] = "no-store"
    return answer


def _only_typing(request: Request) -> str:
    """What a phone over plain http may, and how it comes to more."""
    secure, plain = request.app.state.phone_addresses
    if request.url.scheme == "https":
        says = _("This phone was paired over plain http, so it only types balls. Pair it again on {pair} to do more.")
        return says.format(pair=f"{secure}/pair")
    says = _(
        "Over plain http others on this network could read along, so this phone types balls and sees the days it "
        "began, nothing else. Type on {type}; for the rest trust the laptop on {trust} and open {secure}."
    )
    return says.format(type=f"{plain}/bucket", trust=f"{plain}/trust", secure=secure)


def _not_sealed(request: Request) -> str:
    """What to do instead of asking without https."""
    secure, plain = request.app.state.phone_addresses
    says = _("Anybody on this network could read along here; with accounts you need https.")
    if secure:
        return (
            says
            + " "
            + _("Trust this computer first, on {trust}, then open {secure}.").format(
                trust=f"{plain}/trust", secure=secure
            )
        )
    return (
        says
        + " "
        + _(
            "If a proxy in front handles https, name its address in THREEQUARTER_PROXIES; otherwise start with "
            "--certificate and --key."
        )
    )

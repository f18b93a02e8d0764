"""What the pages of accounts share: where a browser may go on to, its cookie, what a passkey is bound to, hashing two
at a time."""

import asyncio
import contextvars
import datetime
import ipaddress
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any, Final, TypeVar
from urllib.parse import quote

from fastapi import Request
from fastapi.responses import RedirectResponse, Response

from threequarter.golf.errors import UserError
from threequarter.language.localize import _
from threequarter.store.accounts import audit
from threequarter.store.accounts.current_user import CurrentUser
from threequarter.store.accounts.passkeys import Passkeys
from threequarter.store.accounts.second_factor import HALF_LIVES, SecondFactor
from threequarter.store.accounts.sign_ins import LONGEST, SignedIn, SignIns
from threequarter.web.page_context import store_of
from threequarter.web.request_locale import own_page
from threequarter.web.security.credentials import ACCOUNT_COOKIE, HALF_COOKIE, address_of, cookie_named, secret_of

HASHERS: Final = ThreadPoolExecutor(max_workers=2, thread_name_prefix="hashing")
"""A password costs 19 MiB while it is hashed: two at a time, the others wait, and no other page waits with them."""
T = TypeVar("T")


async def hashing(work: Callable[..., T], *told: Any) -> T:
    """Does what hashes a password in its turn."""
    context = contextvars.copy_context()
    return await asyncio.get_running_loop().run_in_executor(HASHERS, lambda: context.run(work, *told))


def who_of(request: Request) -> CurrentUser:
    """Who asks; behind the door there is always somebody."""
    who: CurrentUser | None = getattr(request.state, "who", None)
    if who is None:
        raise UserError(_("There are no accounts here. On the server: threequarter account add-head NAME"))
    return who


def signed_in_of(request: Request) -> SignedIn:
    """The sign-in of the browser that asks."""
    who_of(request)
    found: SignedIn = request.state.signed_in
    return found


def enter(request: Request, account_id: int, how: str, to: str = "/") -> Response:
    """Signs a browser in with a new secret and sends it on."""
    answer = RedirectResponse(own_page(to), status_code=303)
    give_cookie(request, answer, account_id, how)
    return answer


def give_cookie(request: Request, answer: Response, account_id: int, how: str) -> None:
    """Signs a browser in: a new secret, whatever it had before."""
    store = store_of(request)
    before = secret_of(request)
    secret = SignIns(store).begin(account_id, browser_of(request), instead_of=before)
    audit.record(store, "signed in", account_id=account_id, detail=how, address=address_of(request.scope))
    _set(request, answer, ACCOUNT_COOKIE, secret, LONGEST)


def drop_cookie(request: Request, answer: Response) -> None:
    """Takes the cookie away."""
    _drop(request, answer, ACCOUNT_COOKIE)


def ask_second(request: Request, account_id: int, to: str) -> Response:
    """After a right password: sends a browser on to the second step; its cookie opens nothing else."""
    answer = RedirectResponse(f"/sign-in/second?back={quote(own_page(to), safe='')}", status_code=303)
    _set(request, answer, HALF_COOKIE, SecondFactor(store_of(request)).begin_half(account_id), HALF_LIVES)
    return answer


def half_of(request: Request) -> str:
    """The secret of a browser whose second step is awaited, "" without one."""
    return secret_of(request, HALF_COOKIE)


def drop_half(request: Request, answer: Response) -> None:
    """Takes that cookie away."""
    _drop(request, answer, HALF_COOKIE)


def fresh_only(request: Request) -> None:
    """Raises UserError where somebody signed in too long ago to change how they sign in."""
    if not signed_in_of(request).fresh:
        raise UserError(_("You signed in a while ago. Sign out and in again to change how you sign in."))


def _set(request: Request, answer: Response, name: str, secret: str, lives: datetime.timedelta) -> None:
    scheme = request.scope["scheme"]
    answer.set_cookie(
        cookie_named(name, scheme),
        secret,
        max_age=int(lives.total_seconds()),
        httponly=True,
        samesite="lax",
        secure=scheme == "https",
        path="/",
    )
    answer.headers["cache-control"] = "no-store"


def _drop(request: Request, answer: Response, name: str) -> None:
    scheme = request.scope["scheme"]
    answer.delete_cookie(cookie_named(name, scheme), path="/", secure=scheme == "https", httponly=True, samesite="lax")


def browser_of(request: Request) -> str:
    """What a browser is called in a list: its kind and system, not its every version."""
    told = request.headers.get("user-agent", "")
    kind = next(
        (
            name
            for mark, name in (("Edg", "Edge"), ("Firefox", "Firefox"), ("Chrome", "Chrome"), ("Safari", "Safari"))
            if mark in told
        ),
        "",
    )
    system = next(
        (
            name
            for mark, name in (
                ("Android", "Android"),
                ("iPhone", "iPhone"),
                ("iPad", "iPad"),
                ("Windows", "Windows"),
                ("Mac OS", "Mac"),
                ("Linux", "Linux"),
            )
            if mark in told
        ),
        "",
    )
    return ", ".join(part for part in (kind, system) if part)


def passkeys_for(request: Request) -> Passkeys | None:
    """The passkeys of this address; None where a browser makes none: plain http from elsewhere, or an address without a
    name."""
    scheme, host = request.scope["scheme"], request.headers.get("host", "")
    name = host.rpartition(":")[0] if ":" in host else host
    try:
        ipaddress.ip_address(name.strip("[]"))
    except ValueError:
        if scheme == "https" or name == "localhost":
            return Passkeys(store_of(request), f"{scheme}://{host}", name)
    return None


def link_of(request: Request, path: str) -> str:
    """A whole address at this server, to hand to somebody."""
    return f"{request.scope['scheme']}://{request.headers.get('host', '')}{path}"

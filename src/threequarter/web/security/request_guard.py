"""Who may speak to the server: known hosts only, no writes from other sites, bounded bodies, strict headers.

On a laptop the pages need no account, so a foreign page or a rebound name must not reach them.
"""

import contextlib
import ipaddress
import os
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any, Final
from urllib.parse import urlsplit

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers
from starlette.requests import HTTPConnection
from starlette.responses import PlainTextResponse, Response

from threequarter.app.charts_ahead import a_moment_only
from threequarter.golf.errors import UserError
from threequarter.language.localize import N_, _
from threequarter.language.measures import usually_in
from threequarter.languages import language
from threequarter.web.phones.pairing import COOKIE, Pairing, cookie_header
from threequarter.web.problem import problem, wants_json
from threequarter.web.request_locale import distance_of, locale_of
from threequarter.web.security.credentials import OWN, bearer_of

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]
PROXIES_VARIABLE: Final = "THREEQUARTER_PROXIES"

MAX_BODY: Final = 30 * 2**20
POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; media-src 'self'; font-src 'self'; connect-src 'self';"
    " form-action 'self'; frame-ancestors 'none'; base-uri 'none'; manifest-src 'self'; worker-src 'self'"
)
HEADERS: Final = [
    (b"content-security-policy", POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"permissions-policy", b"camera=(), microphone=(), geolocation=()"),
]
SAFE: Final = ("GET", "HEAD")


OPEN: Final = ("/pair", "/trust", "/ca.crt", "/static/", "/manifest.webmanifest", "/sw.js", "/language", "/shared/")
"""What a phone may see before it is paired: the way in, and the looks of it."""


UNPAIRED: Final = N_("This phone is not paired. Open the Phones page on the laptop and point the camera at its code.")


def _is_page(connection: HTTPConnection) -> bool:
    """Whether it is a page, or a part that a page fetches, which can say that it comes in a moment."""
    asked = connection.headers
    return connection.scope["method"] == "GET" and ("text/html" in asked.get("accept", "") or "hx-request" in asked)


class RequestGuard:
    """Wraps the app. `hosts` are the names (with port) the server answers to; `pairing` knows the phones, None lets
    nobody else in; `scripts` says what a script's token may do: "read", "write" (and read), None for one that is
    unknown.

    Where authorization behind it is `closed` (there are accounts) it asks everybody who they are, so other machines may
    come to it.
    """

    def __init__(
        self,
        app: App,
        hosts: frozenset[str],
        pairing: Pairing | None = None,
        scripts: Callable[[str], str | None] = lambda _token: None,
        *,
        closed: Callable[[], bool] = lambda: False,
    ) -> None:
        self.app, self.hosts, self.pairing, self.scripts = app, hosts, pairing, scripts
        self.closed = closed

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        connection = HTTPConnection(scope)
        with language(locale_of(connection)), usually_in(distance_of(connection)):
            refused = await self._refused(connection)
            if refused is not None:
                await _refuse(connection, send, *refused)
                return
            if not self._may_enter(connection) and not await run_in_threadpool(self.closed):
                await _refuse(connection, send, 403, _(UNPAIRED), unpaired=True)
                return
            body = _Body(receive)
            more = await run_in_threadpool(self._renewed, connection)
            with a_moment_only() if _is_page(connection) else contextlib.nullcontext():
                await self.app(scope, body.receive, _answering(connection, send, body, more))

    async def _refused(self, connection: HTTPConnection) -> tuple[int, str] | None:
        """Why a request is turned away, None for one that may go on."""
        scope, hosts = connection.scope, connection.headers.getlist("host")
        # with its port, and told exactly once: stricter than starlette's list of hosts
        if len(hosts) != 1 or hosts[0].lower() not in self.hosts:
            return 400, _("This address does not belong to this server. Open the one it printed at the start.")
        if (token := bearer_of(connection)) is not None:
            return await self._refuses(scope, token)
        if scope["method"] not in SAFE and not _same_site(connection.headers, hosts[0]):
            return 403, _("This came from another site, so nothing was done.")
        return None

    async def _refuses(self, scope: Scope, token: str) -> tuple[int, str] | None:
        """Why a script is turned away; None for one that may go on: to the interface only, and to change things with
        the right to."""
        rights = await run_in_threadpool(self.scripts, token)
        if rights is None:
            return 401, _("This token is unknown or was removed. Make one on the page /api on the laptop.")
        if not scope["path"].startswith("/api/"):
            return 403, _("A token opens everything below /api/ but no pages.")
        if scope["method"] not in SAFE and rights != "write":
            return 403, _("This token may only read. Make one that also writes.")
        return None

    def _may_enter(self, connection: HTTPConnection) -> bool:
        """The laptop itself may do everything; another machine what is open, and once it is paired what a phone is for. A
        script has shown its token."""
        client = connection.client
        if client is None or client.host in OWN or bearer_of(connection) is not None:
            return True
        path = connection.scope["path"]
        if any(path == known or (known.endswith("/") and path.startswith(known)) for known in OPEN):
            return True
        secret = connection.cookies.get(COOKIE, "")
        return bool(self.pairing and secret and self.pairing.knows(secret))

    def _renewed(self, connection: HTTPConnection) -> tuple[tuple[bytes, bytes], ...]:
        """The cookie of a paired phone anew, on each day that it comes."""
        secret = connection.cookies.get(COOKIE, "")
        if not (self.pairing and secret and self.pairing.renew(secret)):
            return ()
        phone = self.pairing.phone_of(secret)
        return ((b"set-cookie", cookie_header(secret, sealed=phone is not None and phone.sealed).encode()),)


def proxies_from_environment() -> list[str]:
    """The proxies named in THREEQUARTER_PROXIES, addresses or nets with commas between: the only ones whose word on where
    a request comes from is taken. Raises UserError for anything else."""
    told = [part.strip() for part in os.environ.get(PROXIES_VARIABLE, "").split(",") if part.strip()]
    try:
        return [str(ipaddress.ip_network(part, strict=False)) for part in told]
    except ValueError as error:
        raise UserError(f"{PROXIES_VARIABLE}: {error}") from None


class _Body:
    """Counts a body while it streams in; past the limit the app is told that the sender is gone."""

    def __init__(self, receive: Receive) -> None:
        self._receive, self.seen = receive, 0

    @property
    def too_large(self) -> bool:
        return self.seen > MAX_BODY

    async def receive(self) -> Message:
        message = await self._receive()
        self.seen += len(message.get("body", b""))
        return {"type": "http.disconnect"} if self.too_large else message


def _same_site(headers: Headers, host: str) -> bool:
    """Browsers say where a write comes from; a program that says nothing (no Origin, no Sec-Fetch-Site) is let in."""
    fetched, origin = headers.get("sec-fetch-site"), headers.get("origin")
    if fetched is not None and fetched not in ("same-origin", "none"):
        return False
    return origin is None or (origin != "null" and urlsplit(origin).netloc.lower() == host.lower())


def _answering(connection: HTTPConnection, send: Send, body: _Body, more: tuple[tuple[bytes, bytes], ...] = ()) -> Send:
    """Adds the headers to every answer (a page may say its own permissions); where the body was too large, answers that
    instead."""
    refused = False

    async def sending(message: Message) -> None:
        nonlocal refused
        if body.too_large:
            if not refused:
                refused = True
                says = _("That is more than {most} MB. Split the file by session.").format(most=MAX_BODY // 2**20)
                await _refuse(connection, send, 413, says)
            return
        if message["type"] == "http.response.start":
            told = {name.lower() for name, _value in message["headers"]}
            usual = (header for header in HEADERS if header[0] not in told)
            message["headers"] = [*message["headers"], *usual, *more]
        await send(message)

    return sending


async def _refuse(connection: HTTPConnection, send: Send, status: int, says: str, **more: bool) -> None:
    """The answer to what is turned away: a plain line, or JSON for those who asked for that."""
    as_json = wants_json(connection.scope["path"], connection.headers) or bearer_of(connection) is not None
    answer: Response = problem(status, says, **more) if as_json else PlainTextResponse(says, status_code=status)
    answer.raw_headers += HEADERS
    if status == 401:
        answer.headers["www-authenticate"] = "Bearer"

    async def nothing() -> Message:
        return {"type": "http.disconnect"}

    await answer(connection.scope, nothing, send)

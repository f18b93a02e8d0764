"""Who may speak to the server: known hosts only, no writes from other sites, bounded bodies, strict headers.

On a laptop the pages need no account, so a foreign page or a rebound name must not reach them.
"""

import ipaddress
import json
import os
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any, Final
from urllib.parse import urlsplit

from starlette.concurrency import run_in_threadpool

from threequarter.golf.errors import UserError
from threequarter.golf.language import _
from threequarter.languages import language
from threequarter.web.locale import tongue_of
from threequarter.web.phones.pairing import COOKIE, Pairing

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]
Net = ipaddress.IPv4Network | ipaddress.IPv6Network
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
LAPTOP_ONLY: Final = ("/phones", "/operation", "/metrics", "/api-tokens", "/safekeeping")
OWN: Final = ("127.0.0.1", "::1", "testclient")


class Guard:
    """Wraps the app. `hosts` are the names (with port) the server answers to; `pairing` knows the phones, None lets
    nobody else in; `scripts` says what a script's token may do: "read", "write" (and read), None for one that is
    unknown.

    Where the door behind is `closed` (there are accounts) it asks everybody who they are, so other machines may come to
    it. `proxies` are the only peers whose word on where a request comes from is taken.
    """

    def __init__(
        self,
        app: App,
        hosts: frozenset[str],
        pairing: Pairing | None = None,
        scripts: Callable[[str], str | None] = lambda _token: None,
        *,
        closed: Callable[[], bool] = lambda: False,
        proxies: tuple[Net, ...] = (),
    ) -> None:
        self.app, self.hosts, self.pairing, self.scripts = app, hosts, pairing, scripts
        self.closed, self.proxies = closed, proxies

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = [(name.lower(), value.decode("latin-1")) for name, value in scope["headers"]]
        scope = _told_by_proxy(scope, dict(headers), self.proxies)
        with language(tongue_of(dict(headers))):
            await self._answer(headers, scope, receive, send)

    async def _answer(self, headers: list[tuple[bytes, str]], scope: Scope, receive: Receive, send: Send) -> None:
        hosts = [value for name, value in headers if name == b"host"]
        if len(hosts) != 1 or hosts[0].lower() not in self.hosts:
            says = _("This address is not one of this server's. Open it as the start-up line says.")
            await _refuse(send, 400, says)
            return
        given = dict(headers)
        if (token := _bearer(given)) is not None:
            if refused := await self._refuses(scope, token):
                await _problem(send, *refused)
                return
            body = _Body(receive)
            await self.app(scope, body.receive, _answering(send, body))
            return
        if scope["method"] not in SAFE and not _same_site(given, hosts[0]):
            await _refuse(send, 403, _("This came from another site and was not done."))
            return
        if not self._may_enter(scope, given) and not await run_in_threadpool(self.closed):
            says = _(
                "This phone is not paired. Open the page for phones on the laptop and point the camera at its code."
            )
            await _refuse(send, 403, says)
            return
        body = _Body(receive)
        await self.app(scope, body.receive, _answering(send, body))

    async def _refuses(self, scope: Scope, token: str) -> tuple[int, str] | None:
        """Why a script is turned away; None for one that may go on: to the interface only, and to change things with
        the right to."""
        rights = await run_in_threadpool(self.scripts, token)
        if rights is None:
            return 401, _("This token is unknown, or was removed. Make one on the page /api of the laptop.")
        if not scope["path"].startswith("/api/"):
            return 403, _("A token opens what stands below /api/, no pages.")
        if scope["method"] not in SAFE and rights != "write":
            return 403, _("This token only reads.")
        return None

    def _may_enter(self, scope: Scope, headers: dict[bytes, str]) -> bool:
        """The laptop itself may do everything; another machine what is open, and the rest once it is paired."""
        client = scope.get("client")
        if client is None or client[0] in OWN:
            return True
        path = scope["path"]
        if any(path == own or path.startswith(own + "/") for own in LAPTOP_ONLY):
            return False  # codes, the list of phones and the state of the server are for the laptop's own screen
        if any(path == known or (known.endswith("/") and path.startswith(known)) for known in OPEN):
            return True
        cookies = dict(part.strip().partition("=")[::2] for part in headers.get(b"cookie", "").split(";"))
        secret = cookies.get(COOKIE, "")
        return bool(self.pairing and secret and self.pairing.knows(secret))


def proxies_from_environment() -> tuple[Net, ...]:
    """The proxies named in THREEQUARTER_PROXIES, addresses or nets with commas between. Raises UserError for anything
    else."""
    told = [part.strip() for part in os.environ.get(PROXIES_VARIABLE, "").split(",") if part.strip()]
    try:
        return tuple(ipaddress.ip_network(part, strict=False) for part in told)
    except ValueError as error:
        raise UserError(f"{PROXIES_VARIABLE}: {error}") from None


def _told_by_proxy(scope: Scope, headers: dict[bytes, str], proxies: tuple[Net, ...]) -> Scope:
    """A request as the proxy in front received it. From anybody else such headers mean nothing."""
    client = scope.get("client")
    if client is None or not _within(client[0], proxies):
        return scope
    told = [part.strip() for part in headers.get(b"x-forwarded-for", "").split(",") if part.strip()]
    outside = next((part for part in reversed(told) if not _within(part, proxies)), None)
    scheme = headers.get(b"x-forwarded-proto", "").strip().lower()
    return {
        **scope,
        "client": (outside, 0) if outside else client,
        "scheme": scheme if scheme in ("http", "https") else scope["scheme"],
    }


def _within(address: str, nets: tuple[Net, ...]) -> bool:
    try:
        found = ipaddress.ip_address(address)
    except ValueError:
        return False
    return any(found in net for net in nets)


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


def _bearer(headers: dict[bytes, str]) -> str | None:
    """The token of a script, None where none is sent."""
    kind, _space, token = headers.get(b"authorization", "").partition(" ")
    return token.strip() if kind.lower() == "bearer" else None


def _same_site(headers: dict[bytes, str], host: str) -> bool:
    """Browsers say where a write comes from; a program that says nothing (no Origin, no Sec-Fetch-Site) is let in."""
    fetched = headers.get(b"sec-fetch-site")
    if fetched is not None and fetched not in ("same-origin", "none"):
        return False
    origin = headers.get(b"origin")
    return origin is None or (origin != "null" and urlsplit(origin).netloc.lower() == host.lower())


def _answering(send: Send, body: _Body) -> Send:
    """Adds the headers to every answer (a page may say its own permissions); where the body was too large, answers that
    instead."""
    refused = False

    async def sending(message: Message) -> None:
        nonlocal refused
        if body.too_large:
            if not refused:
                refused = True
                says = _("That is more than {most} MB. Split the file by session.").format(most=MAX_BODY // 2**20)
                await _refuse(send, 413, says)
            return
        if message["type"] == "http.response.start":
            told = {name.lower() for name, _value in message["headers"]}
            message["headers"] = [*message["headers"], *(header for header in HEADERS if header[0] not in told)]
        await send(message)

    return sending


async def _refuse(send: Send, status: int, words: str) -> None:
    body = words.encode()
    headers = [(b"content-type", b"text/plain; charset=utf-8"), (b"content-length", str(len(body)).encode()), *HEADERS]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})


async def _problem(send: Send, status: int, words: str) -> None:
    """The same for a script (RFC 9457)."""
    body = json.dumps(
        {
            "type": "about:blank",
            "title": "Unauthorized" if status == 401 else "Forbidden",
            "status": status,
            "detail": words,
        }
    ).encode()
    headers = [(b"content-type", b"application/problem+json"), (b"content-length", str(len(body)).encode()), *HEADERS]
    if status == 401:
        headers.append((b"www-authenticate", b"Bearer"))
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})

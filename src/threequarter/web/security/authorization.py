"""The one door: who asks is found out, what they ask for is looked up as they see it, and only what the policy allows
goes on.

On a laptop without accounts the door stands open. It closes with the first account; then every route must stand in the
policy, and every request acts as somebody, even if that is nobody. On an academy's database without an account only the
computer itself is let in, so that the first one can be made, and nothing that came through a proxy.
"""

import logging
import re
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers

from threequarter.golf.language import _
from threequarter.store.accounts import audit
from threequarter.store.accounts.accounts import Accounts
from threequarter.store.accounts.current_user import NOBODY, NOBODYS, CurrentUser, as_user
from threequarter.store.accounts.secrets import fingerprint
from threequarter.store.accounts.shares import Shares
from threequarter.store.accounts.sign_ins import SignedIn, SignIns
from threequarter.store.store import Store
from threequarter.web.pending import Pending
from threequarter.web.security.policy import OPEN, POLICY, Need, allows
from threequarter.web.security.resource_lookup import Things

LOG: Final = logging.getLogger("threequarter.security")
PLAIN_COOKIE: Final = "threequarter_account"
HALF_COOKIE: Final = "threequarter_second"
"""Of a browser whose password was right and whose second step is awaited."""
AGAIN_S: Final = 600.0
"""The same look by the same account is recorded once in so many seconds."""
A_YEAR: Final = b"max-age=31536000"
OWN: Final = ("", "127.0.0.1", "::1", "testclient")
MISSING: Final = "/none"
"""The address that what is not there, or not theirs, is answered as."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What the door found: who asks, as which sign-in or link; where it turns somebody away, why."""

    who: CurrentUser | None
    need: Need | None = None
    signed_in: SignedIn | None = None
    link: tuple[int, str] | None = None
    kind: str | None = None
    number: int | None = None
    player_id: int | None = None
    room_name: str = ""
    turned_away: str = ""


class Door:
    """Wraps the app; knows its routes and the store."""

    def __init__(self, app: Any, store: Store, pending: Pending) -> None:
        self.app, self.store = app, store
        self.things = Things(store, pending)
        self._closed = False
        self._seen: dict[tuple[int, str, int | None], float] = {}

    @property
    def closed(self) -> bool:
        """Whether there are accounts, or have to be."""
        self._closed = self._closed or Accounts(self.store).any()
        return self._closed

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        if scope["path"].startswith("/static/") or scope["path"] == "/health":  # without asking the database
            with as_user(NOBODY):
                await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        found = await run_in_threadpool(self._find, scope["method"], scope["path"], scope["scheme"], headers, scope)
        if found.who is None:
            await self.app(scope, receive, send)
            return
        if scope["scheme"] == "https":
            send = _sealed_from_now_on(send)
        scope.setdefault("state", {}).update(
            who=found.who, signed_in=found.signed_in, link=found.link, room_name=found.room_name
        )
        if found.turned_away == "missing":
            scope = {
                **scope,
                "path": ("/api" if _wants_json(scope["path"]) else "") + MISSING,
                "query_string": b"",
                "method": "GET",
            }
            scope["raw_path"] = scope["path"].encode()
        elif found.turned_away:
            await _turn_away(found.turned_away, self.app, scope, headers, receive, send)
            return
        with as_user(found.who):
            await self.app(scope, receive, self._noted(found, scope, send))

    def _find(self, method: str, path: str, scheme: str, headers: Headers, scope: Any) -> Found:
        if not self.closed and not path.startswith("/shared/"):
            if self.store.on_postgres and _from_elsewhere(headers, scope):
                return Found(who=NOBODY, turned_away="no account")
            return Found(who=None)
        method = "GET" if method == "HEAD" else method
        route, given = _route(self.app, method, path)
        need = POLICY.get(f"{method} {route}") if route else None
        if route and need is None:
            LOG.error("a route without a policy", extra={"route": route})
        signed_in = self._signed_in(headers, scheme)
        script = self._script(headers) if signed_in is None else None
        who = signed_in.who if signed_in else script[0] if script else None
        if need is None:
            return Found(who=who or NOBODY, signed_in=signed_in, turned_away="missing")
        if self.closed and scheme != "https" and address_of(scope) not in OWN and not _public(route, need):
            return Found(who=NOBODY, turned_away="plain")
        if "secret" in given and route.startswith("/shared/"):
            return self._link(given["secret"], need)
        if need.level is OPEN:
            return Found(who=who or NOBODY, signed_in=signed_in, need=need)
        if who is None:
            return Found(who=NOBODY, turned_away="sign in")
        seen = self.things.look(who, given)
        told: dict[str, Any] = {"who": who, "signed_in": signed_in, "need": need, "room_name": self._room_name(who)}
        if seen is None:
            self._refused(who, route, given, scope)
            return Found(**told, turned_away="missing")
        told |= {"kind": seen.kind, "number": seen.number, "player_id": seen.player_id}
        may_write = script is None or script[1] or method == "GET"
        if not may_write or not allows(need.level, role=who.role, coaches=who.coaches, script=script is not None):
            self._refused(who, route, given, scope)
            return Found(**told, turned_away="missing" if need.level.value in ("head", "never") else "not allowed")
        if signed_in and signed_in.seen_long_ago:
            SignIns(self.store).note_seen(signed_in.id)
        return Found(**told)

    def _signed_in(self, headers: Headers, scheme: str) -> SignedIn | None:
        secret = secret_of(headers, scheme)
        return SignIns(self.store).who(secret) if secret else None

    def _script(self, headers: Headers) -> tuple[CurrentUser, bool] | None:
        kind, _space, secret = headers.get("authorization", "").partition(" ")
        return self.things.script(fingerprint(secret.strip())) if kind.lower() == "bearer" and secret.strip() else None

    def _room_name(self, who: CurrentUser) -> str:
        """Whose room a head has open, where it is another's."""
        if who.room is None or who.room == who.account_id:
            return ""
        return _("nobody") if who.room == NOBODYS else Accounts(self.store).one(who.room).name

    def _link(self, secret: str, need: Need) -> Found:
        found = Shares(self.store).who(secret)
        if found is None:
            return Found(who=NOBODY, need=need, turned_away="missing")
        who, session_id, what = found
        return Found(who=who, need=need, link=(session_id, what))

    def _refused(self, who: CurrentUser, route: str, given: dict[str, str], scope: Any) -> None:
        number = next((int(value) for value in given.values() if value.isdigit() and len(value) < 10), None)
        audit.record(
            self.store, "refused", account_id=who.account_id, number=number, detail=route, address=address_of(scope)
        )

    def _noted(self, found: Found, scope: Any, send: Any) -> Any:
        """Passes the answer on, and records what was done once it is known to have gone well."""
        need = found.need
        if need is None or not need.says or found.who is None or found.turned_away:
            return send
        who, write = found.who, scope["method"] not in ("GET", "HEAD")

        async def sending(message: Any) -> None:
            if (
                message["type"] == "http.response.start"
                and message["status"] < 400
                and (write or self._first_look(found))
            ):
                await run_in_threadpool(
                    audit.record,
                    self.store,
                    need.says,
                    account_id=who.account_id,
                    kind=found.kind,
                    number=found.number,
                    player_id=found.player_id,
                    address=address_of(scope),
                )
            await send(message)

        return sending

    def _first_look(self, found: Found) -> bool:
        assert found.who is not None
        assert found.need is not None
        now, key = time.monotonic(), (found.who.account_id, found.need.says, found.number)
        if now - self._seen.get(key, -AGAIN_S) < AGAIN_S:
            return False
        if len(self._seen) > 10_000:
            self._seen = {one: at for one, at in self._seen.items() if now - at < AGAIN_S}
        self._seen[key] = now
        return True


def _sealed_from_now_on(send: Any) -> Any:
    """Tells browsers to come by https only: with accounts there is nothing here that may cross a network otherwise."""

    async def sending(message: Any) -> None:
        if message["type"] == "http.response.start":
            message["headers"] = [*message["headers"], (b"strict-transport-security", A_YEAR)]
        await send(message)

    return sending


def _public(route: str, need: Need) -> bool:
    """What may cross a network unsealed: nothing that a password, a cookie or somebody's name goes with."""
    return need.level is OPEN and not route.startswith(("/sign-", "/invitation/"))


def routes_of(app: Any) -> Iterator[Any]:
    """All routes of an app, those of included rooms too, in the order they are tried."""
    yield from _flat(app.routes)


def _flat(routes: Iterable[Any]) -> Iterator[Any]:
    for route in routes:
        inner = getattr(route, "original_router", None)
        if inner is not None:
            yield from _flat(inner.routes)
        elif getattr(route, "methods", None):
            yield route


def _route(app: Any, method: str, path: str) -> tuple[str, dict[str, str]]:
    """The pattern that an address and a method belong to, and the parts of the address; "" where there is none."""
    for route in routes_of(app):
        match = route.path_regex.match(path) if method in route.methods else None
        if match:
            return str(route.path), {_named(route.path, name): value for name, value in match.groupdict().items()}
    return "", {}


def _named(pattern: str, name: str) -> str:
    """The name of a part of an address, with its kind where it has one: "name:path" is a player, "name" a picture."""
    found = re.search(r"\{(" + re.escape(name) + r"(?::\w+)?)\}", pattern)
    return found[1] if found else name


def _from_elsewhere(headers: Headers, scope: Any) -> bool:
    """Whether a request came from another machine, or says that it came through a proxy."""
    return address_of(scope) not in OWN or any(
        name == "forwarded" or name.startswith("x-forwarded-") for name in headers
    )


def cookie_named(name: str, scheme: str) -> str:
    """How a cookie is called: over TLS so that it cannot come from elsewhere."""
    return f"__Host-{name}" if scheme == "https" else name


def secret_of(headers: Headers, scheme: str, name: str = PLAIN_COOKIE) -> str:
    """The secret in the cookie of a signed-in browser, "" without one. Over TLS only the cookie that cannot come from
    elsewhere counts."""
    wanted = cookie_named(name, scheme)
    cookies = dict(part.strip().partition("=")[::2] for part in headers.get("cookie", "").split(";"))
    return cookies.get(wanted, "")


def address_of(scope: Any) -> str:
    """Where a request comes from."""
    client = scope.get("client")
    return str(client[0]) if client else ""


def _wants_json(path: str) -> bool:
    return path.startswith("/api/") or path.endswith(".json")


def _plain(app: Any) -> str:
    """What to do instead of asking without https."""
    secure, plain = getattr(getattr(app, "state", None), "phone_addresses", ("", ""))
    says = _("Everybody on this network could read along here: with accounts it has to be https.")
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
            "Where a proxy in front speaks https, name its address in THREEQUARTER_PROXIES; else start with --certificate and --key."
        )
    )


async def _turn_away(why: str, app: Any, scope: Any, headers: Headers, receive: Any, send: Any) -> None:
    from starlette.responses import JSONResponse, RedirectResponse, Response

    says, status = {
        "sign in": (_("Sign in first."), 401),
        "not allowed": (_("Your account sees this, but may not do that. Ask your coach."), 403),
        "no account": (_("There is no account yet. On the server: threequarter account add-head NAME"), 403),
        "plain": (_plain(app), 403),
    }[why]
    page_wanted = "text/html" in headers.get("accept", "") and not _wants_json(scope["path"])
    if why == "sign in" and page_wanted and scope["method"] in ("GET", "HEAD"):
        query = scope["query_string"].decode("latin-1")
        back = quote(scope["path"] + (f"?{query}" if query else ""), safe="")
        answer: Response = RedirectResponse("/sign-in" + (f"?back={back}" if back != "%2F" else ""), status_code=303)
    elif page_wanted:
        from starlette.requests import Request

        from threequarter.web.page_context import page

        answer = page(Request(scope), "shared/error.html", status, title=_("Not possible"), says=says)
    else:
        answer = JSONResponse({"error": says}, status_code=status)
    answer.headers["cache-control"] = "no-store"
    await answer(scope, receive, send)

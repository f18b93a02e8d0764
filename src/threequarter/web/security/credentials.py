"""What a request brings to say who asks: the cookie of a browser, the token of a script, and where it comes from."""

from typing import Any, Final

from starlette.requests import HTTPConnection

ACCOUNT_COOKIE: Final = "threequarter_account"
HALF_COOKIE: Final = "threequarter_second"
"""Of a browser whose password was right and whose second factor is awaited."""
OWN: Final = ("", "127.0.0.1", "::1", "testclient")
"""This computer itself."""


def cookie_named(name: str, scheme: str) -> str:
    """How a cookie is called: over TLS so that it cannot come from elsewhere."""
    return f"__Host-{name}" if scheme == "https" else name


def secret_of(connection: HTTPConnection, name: str = ACCOUNT_COOKIE) -> str:
    """The secret in the cookie of a signed-in browser, "" without one.

    Over TLS only the cookie that cannot come from elsewhere counts.
    """
    return connection.cookies.get(cookie_named(name, connection.scope["scheme"]), "")


def bearer_of(connection: HTTPConnection) -> str | None:
    """The token of a script, None where none is sent."""
    kind, _space, token = connection.headers.get("authorization", "").partition(" ")
    return token.strip() if kind.lower() == "bearer" else None


def address_of(scope: Any) -> str:
    """Where a request comes from."""
    client = scope.get("client")
    return str(client[0]) if client else ""


def by_phone(connection: HTTPConnection) -> bool:
    """Whether another machine asks, without a script's token: on a laptop without accounts that is a paired phone."""
    return address_of(connection.scope) not in OWN and bearer_of(connection) is None


def from_elsewhere(connection: HTTPConnection) -> bool:
    """Whether a request came from another machine, or says that it came through a proxy."""
    return address_of(connection.scope) not in OWN or any(
        name == "forwarded" or name.startswith("x-forwarded-") for name in connection.headers
    )

"""Secrets as they are handed out, and the fingerprints that are kept of them."""

import hashlib
import secrets


def new_secret(size: int = 32) -> str:
    """A secret of so many random bytes, to be put into an address or a cookie."""
    return secrets.token_urlsafe(size)


def fingerprint(secret: str) -> str:
    """What is kept of a secret. Plain SHA-256: the secret is random and long, there is nothing to guess."""
    return hashlib.sha256(secret.encode()).hexdigest()

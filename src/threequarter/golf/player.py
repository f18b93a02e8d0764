"""Players by name."""

import unicodedata


def name_key(name: str) -> str:
    """One key for a player's name however it is typed."""
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())[:300]

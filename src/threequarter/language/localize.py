"""The language and locale in use, for the rooms that speak."""

from threequarter.golf.language import ENGLISH, N_, _, day, locale, ngettext, number, speaking

__all__ = ["ENGLISH", "N_", "_", "day", "locale", "ngettext", "number", "speaking"]

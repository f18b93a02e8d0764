"""The catalogues: one .po file a language, which people edit; what is said in a language is looked up there.

English needs none: the texts in the code are English. Read once a process, when a language is first asked for.
"""

import io
import re
from collections.abc import Mapping
from contextlib import AbstractContextManager
from functools import cache
from gettext import GNUTranslations, NullTranslations
from importlib.resources import files
from typing import Final

from threequarter.language.localize import ENGLISH, speaking

LANGUAGES: Final = {"en": "English", "de": "Deutsch"}


@cache
def catalogue(code: str) -> NullTranslations:
    """The catalogue of a language; English for one that is not known."""
    if code == "en" or code not in LANGUAGES:
        return ENGLISH
    from babel.messages.mofile import write_mo
    from babel.messages.pofile import read_po

    compiled = io.BytesIO()
    with (files(__name__) / f"{code}.po").open("rb") as file:
        write_mo(compiled, read_po(file, locale=code))
    compiled.seek(0)
    return GNUTranslations(compiled)


def language(code: str) -> AbstractContextManager[None]:
    """Says everything within in a language ("de"); with a region ("en_US"), numbers, dates and usual units are those of there."""
    known = code.partition("_")[0]
    if known not in LANGUAGES:
        code = known = "en"
    return speaking(code if code == known or _is_spoken(code) else known, catalogue(known))


@cache
def _is_spoken(code: str) -> bool:
    from babel.localedata import exists

    return exists(code)


def of_environment(variables: Mapping[str, str]) -> str:
    """The language that a system asks for (LANGUAGE, else LC_ALL, LC_MESSAGES, LANG); English where it is none of ours."""
    chosen = next((variables[name] for name in ("LC_ALL", "LC_MESSAGES", "LANG") if variables.get(name)), "")
    asked = [*variables.get("LANGUAGE", "").split(":"), chosen]
    codes = [re.split(r"[_.@-]", name)[0].casefold() for name in asked if name]
    return next((code for code in codes if code in LANGUAGES), "en")

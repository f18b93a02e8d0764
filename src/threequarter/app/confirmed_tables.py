"""What a coach said of one table serves the next: which answers are taken over, and what is learned from a table that was kept."""

from collections.abc import Callable
from dataclasses import replace
from typing import Final

from threequarter.intake.options import ReadOptions
from threequarter.intake.reading import Reading
from threequarter.intake.tables.fingerprint import headings_of, shape_key
from threequarter.intake.tables.layout import place_of
from threequarter.store.imports.confirmed import Confirmed, how_far, same_unit
from threequarter.store.store import Store

Reader = Callable[[bytes, str, str, ReadOptions], Reading]
READ_TWICE: Final = 256 * 1024
"""Bytes of a file up to which it is read once more, to see whether it is in the unit of the last that looked like it."""


def options_for(store: Store, content: bytes, name: str, reader: Reader) -> ReadOptions:
    """How a file is read before anybody said anything of it: as it was read before, else as one of its shape was.

    The unit that was answered for the shape holds only while its shots go as far as they went then.
    """
    kept = Confirmed(store)
    if (exact := kept.of_file(content)) is not None:
        return with_headings(store, content, name, exact)
    found = kept.of_shape(shape_key(content, name))
    options, far = found or (ReadOptions(), {})
    options = with_headings(store, content, name, options)
    if options.unit or options.units or options.decimal:
        told = len(content) <= READ_TWICE and same_unit(how_far(reader(content, name, "table", options)), far)
        options = options if told else replace(options, unit=None, units={}, decimal=None)
    return options


def with_headings(store: Store, content: bytes, name: str, options: ReadOptions) -> ReadOptions:
    """The options with what the coach has said before of this file's headings."""
    return replace(options, learned=learned_of(store, content, name))


def learned_of(store: Store, content: bytes, name: str) -> dict[str, str]:
    """What the coach has said before of this file's headings: folded heading -> role."""
    return Confirmed(store).learned(headings_of(content, name))


def remember(store: Store, content: bytes, name: str, options: ReadOptions, reading: Reading) -> None:
    """Keeps what was answered about a table that was kept, for the next that looks alike, and for its headings anywhere."""
    kept = Confirmed(store)
    plain = replace(options, learned={})
    if plain != ReadOptions():
        kept.remember_file(content, plain)
        kept.remember_shape(shape_key(content, name), plain, how_far(reading))
    if roles := _explained(content, name, options, reading):
        kept.learn(roles)


def _explained(content: bytes, name: str, options: ReadOptions, reading: Reading) -> dict[str, str | None]:
    """The headings whose role a person named, and those that were explained before and are now to be ignored (None)."""
    alone = set(headings_of(content, name))
    by_number = {column.number: column.heading for column in reading.columns}
    told: dict[str, str | None] = {}
    for role, column in ((None, one) for one in options.ignore):
        told |= _heading(by_number, column, role, alone)
    for role, column in options.columns.items():
        told |= _heading(by_number, column, role, alone)
    return told


def _heading(by_number: dict[int, str], column: str, role: str | None, alone: set[str]) -> dict[str, str | None]:
    place = place_of(column)
    heading = column if column in alone else by_number.get(place + 1 if place is not None else -1, "")
    return {heading: role} if heading in alone else {}

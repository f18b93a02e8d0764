"""Rows as an Arrow stream (Arrow C data interface, Apache Arrow specification; PyCapsule interface for Python)."""

from collections.abc import Mapping, Sequence
from itertools import accumulate
from typing import Any, TypeAlias

import nanoarrow as na
from nanoarrow.c_array_stream import CArrayStream

Column: TypeAlias = "tuple[na.Schema, Any]"
"""What a column holds, and its values as nanoarrow's array."""


def stream(rows: Sequence[Mapping[str, Any]], requested_schema: object | None = None) -> object:
    """The rows as a capsule of an Arrow stream of one batch. None becomes null; a nested mapping a struct, a sequence a list.

    Raises TypeError for a value that is none of bool, int, float, str, mapping or sequence.
    """
    schema, values = _struct(rows)
    return CArrayStream.from_c_arrays([values], na.c_schema(schema), move=True).__arrow_c_stream__(requested_schema)


def _column(values: Sequence[Any]) -> Column:
    known = [value for value in values if value is not None]
    if not known:
        return na.null(), na.c_array_from_buffers(na.null(), len(values), [])
    if all(isinstance(value, Mapping) for value in known):
        return _struct(values)
    if all(isinstance(value, list | tuple) for value in known):
        return _list(values)
    schema = _plain(known)
    return schema, na.c_array(values, schema)


def _plain(known: Sequence[Any]) -> na.Schema:
    for kind, schema in ((bool, na.bool_()), (int, na.int64()), (int | float, na.float64()), (str, na.string())):
        if all(isinstance(value, kind) and (kind is bool or not isinstance(value, bool)) for value in known):
            return schema
    raise TypeError(f"No Arrow type holds these values together: {sorted({type(value).__name__ for value in known})}")


def _struct(rows: Sequence[Mapping[str, Any] | None]) -> Column:
    names = dict.fromkeys(name for row in rows if row is not None for name in row)
    columns = {name: _column([None if row is None else row.get(name) for row in rows]) for name in names}
    schema = na.struct({name: kind for name, (kind, _) in columns.items()})
    held = [column for _, column in columns.values()]
    return schema, na.c_array_from_buffers(schema, len(rows), [_present(rows)], children=held)


def _list(values: Sequence[Sequence[Any] | None]) -> Column:
    kind, flat = _column([item for value in values for item in value or ()])
    ends = na.c_buffer(list(accumulate((len(value or ()) for value in values), initial=0)), na.int32())
    schema = na.list_(kind)
    return schema, na.c_array_from_buffers(schema, len(values), [_present(values), ends], children=[flat])


def _present(values: Sequence[object | None]) -> Any:
    """The bits that say which values are known; None where all are."""
    if None not in values:
        return None
    return na.c_buffer([value is not None for value in values], na.bool_())

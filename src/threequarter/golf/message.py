"""Something to tell a reader, before it has words: a code and the values that go with it.

Rooms that compute return messages; `threequarter.language` says them in the reader's language and units. What is
stored is the message, never the sentence, so that it can be said again to somebody else.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any


@dataclass(frozen=True, slots=True, init=False)
class Message:
    """A code ("chart.gap") and its values: `Message("chart.gap", low_m=42.0, high_m=47.5)`."""

    code: str
    values: Mapping[str, Any]

    def __init__(self, code: str, /, **values: Any) -> None:
        object.__setattr__(self, "code", code)
        object.__setattr__(self, "values", MappingProxyType(values))

    def filled(self, **values: Any) -> "Message":
        """The same code with more values."""
        return Message(self.code, **{**self.values, **values})

    def __hash__(self) -> int:
        return hash((self.code, tuple(sorted((name, str(value)) for name, value in self.values.items()))))

    def __str__(self) -> str:
        """The bare code and values, for logs and tests; readers get `threequarter.language.say`."""
        told = ", ".join(f"{name}={value}" for name, value in self.values.items())
        return f"{self.code}({told})" if told else self.code

    def __reduce__(self) -> tuple[Any, ...]:
        return from_json, (to_json(self),)

    @classmethod
    def __get_pydantic_core_schema__(cls, _source: Any, _handler: Any) -> Any:
        """How Pydantic, where it keeps what holds a message, writes and reads one."""
        from pydantic_core import core_schema

        return core_schema.no_info_plain_validator_function(
            lambda told: told if isinstance(told, cls) else _stored(told),
            serialization=core_schema.plain_serializer_function_ser_schema(to_json),
        )


def to_json(message: Message) -> dict[str, Any]:
    """A message as plain JSON: {"code": ..., "values": {...}}; messages within are written the same way."""
    return {"code": message.code, "values": {name: _out(value) for name, value in message.values.items()}}


def from_json(stored: Mapping[str, Any]) -> Message:
    """A message as it was stored. Raises KeyError where it has no code."""
    return Message(stored["code"], **{name: _in(value) for name, value in (stored.get("values") or {}).items()})


def _stored(told: Any) -> Message:
    if not isinstance(told, Mapping) or "code" not in told:
        raise ValueError("no message")
    return from_json(told)


def _out(value: Any) -> Any:
    if isinstance(value, Message):
        return to_json(value)
    if isinstance(value, list | tuple):
        return [_out(one) for one in value]
    if isinstance(value, Exception):
        return _out(value.args[0]) if value.args and isinstance(value.args[0], Message) else str(value)
    return value if value is None or isinstance(value, str | int | float) else str(value)


def _in(value: Any) -> Any:
    if isinstance(value, Mapping) and "code" in value:
        return from_json(value)
    return tuple(_in(one) for one in value) if isinstance(value, list | tuple) else value

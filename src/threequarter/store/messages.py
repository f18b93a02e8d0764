"""Messages as they are stored: the code and its values as JSON, to be said in the language of whoever reads them.

Release 0.1.0 stored sentences; they stay what they were.
"""

import json
from collections.abc import Iterable
from typing import Final

from threequarter.golf.message import Message, from_json, to_json

_BEGINS: Final = '{"code": '


def message_to_text(message: Message | str) -> str:
    """A message as JSON; a sentence as it is."""
    return json.dumps(to_json(message), ensure_ascii=False) if isinstance(message, Message) else message


def message_from_text(stored: str) -> Message | str:
    """What `message_to_text` wrote."""
    if not stored.startswith(_BEGINS):
        return stored
    try:
        return from_json(json.loads(stored))
    except (ValueError, KeyError):
        return stored


def messages_to_text(messages: Iterable[Message | str]) -> str:
    """A list of messages and sentences as one JSON list."""
    return json.dumps([to_json(m) if isinstance(m, Message) else m for m in messages], ensure_ascii=False)


def messages_from_text(stored: str) -> tuple[Message | str, ...]:
    """What `messages_to_text` wrote, or release 0.1.0 (a JSON list of sentences)."""
    return tuple(from_json(one) if isinstance(one, dict) else one for one in json.loads(stored))

"""Messages in the reader's language and units. Rooms that compute know nothing of this one."""

from threequarter.language.say import line, lines, say, say_error
from threequarter.language.text import NN_, Plural

__all__ = ["NN_", "Plural", "line", "lines", "say", "say_error"]

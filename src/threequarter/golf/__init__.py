"""The nouns of the trade: balls, clubs, swing lengths and units. Everything else speaks in these."""

from threequarter.golf.ball import Ball, MeasuredAs, MeasuredBy, Place, Strike
from threequarter.golf.errors import UserError

__all__ = ["Ball", "MeasuredAs", "MeasuredBy", "Place", "Strike", "UserError"]

"""threequarter: distance charts for partial wedge swings, with honest doubt."""

__version__ = "0.2.0"

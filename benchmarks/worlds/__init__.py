"""Players the chart was not made for: a world with known truth, written without sight of the chart's model.

Every figure in here is invented, by "common practice, no source" unless a source is named: the world shows where the arithmetic breaks, not how golfers are.
"""

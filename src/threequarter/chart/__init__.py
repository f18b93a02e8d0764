"""The chart: stock carries with honest doubt, mishits, holes and doubles, the next ball. Pure: numbers in, numbers out."""

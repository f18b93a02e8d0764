"""Paper: pocket card, day card, lesson report, as PDF by typst; and the pictures in them as SVG."""

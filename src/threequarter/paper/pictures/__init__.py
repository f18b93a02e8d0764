"""Pictures as SVG text: print-ready, told apart without colour, each with a sentence that says the same."""

"""Hookups as drawings: SVG text, worked out from the graph alone. Nothing here reads a file of the user or the clock."""

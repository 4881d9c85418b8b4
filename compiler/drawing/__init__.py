"""Hookups as drawings: SVG text, worked out from the graph alone. Nothing here reads a user's file or the clock."""

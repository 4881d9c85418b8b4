"""When what was asked for cannot be done."""


class Trouble(Exception):
    """Bad use, an input that cannot be read or an output that cannot be written; the text tells the user which."""

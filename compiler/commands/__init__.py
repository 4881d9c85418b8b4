"""One file a command; each is loaded when it is asked for."""

"""takeoff."""

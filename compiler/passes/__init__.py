"""passes."""

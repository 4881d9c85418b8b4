"""From text to syntax tree. Nothing here knows pipe, and nothing here raises because of what a user wrote."""

"""What a hookup comes to, for rules and takeoffs alike: pieces, legs, lineups, flows, heights, work."""

"""The rules of the trade: one file a topic, each rule a small function in the one registry. Rules never change a hookup."""

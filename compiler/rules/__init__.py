"""The rules of the trade: one file a topic, each rule a function in the one registry. They never change a hookup."""

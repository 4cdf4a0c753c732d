"""The mail desk: a message in, a draft of the answer out. Pure: no network, no clock, no store."""

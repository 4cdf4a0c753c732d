"""Which products fit a line, which of them are offered and why, and by what the rest fell short."""

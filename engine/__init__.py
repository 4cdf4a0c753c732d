"""The engine: values in, values out. `make_quote` is its one door; it never reads a clock, a network or an environment."""

from engine.quote import make_quote

__all__ = ["make_quote"]

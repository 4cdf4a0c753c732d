"""The engine: values in, values out. `make_quote` is its one door; it never reads a clock, a network or an environment.

The door opens when it is first used, so that reading a message does not pay for computing a quote.
"""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from engine.quote import make_quote

__all__ = ["make_quote"]


def __getattr__(name: str) -> Any:
    if name == "make_quote":
        from engine.quote import make_quote

        return make_quote
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")

"""What a reader of photometric files may find worth telling: keys, whose words are elsewhere."""

from typing import Final

NOTES: Final = (
    "absolute",
    "circle_closed",
    "dark_after_last_plane",
    "downlight_unknown",
    "edition_unknown",
    "forward_unsure",
    "lamp_lumens_missing",
    "lamp_sets",
    "measured_tilted",
    "nadir_uneven",
    "trailing_text",
    "uplight_unknown",
)
"""Every key that a reader may put into ``Photometry.notes``."""

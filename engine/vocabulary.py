"""The words of the trade that every part of the product speaks: one list, from reading to reply.

The values are those of the public reading shape. Nothing here computes.
"""

from typing import Final, Literal, get_args

Family = Literal[
    "wall_pack", "flood", "area", "street", "canopy", "garage", "high_bay", "low_bay", "troffer", "strip", "wrap",
    "vapor_tight", "downlight", "bollard", "post_top", "sconce", "sign", "track", "panel", "security", "landscape", "exit",
]  # fmt: skip
LampSource = Literal[
    "MH", "PSMH", "CMH", "HPS", "LPS", "MV", "T12", "T8", "T5", "T5HO", "CFL", "INC", "HAL", "IND", "LED"
]
Size = Literal["2x4", "2x2", "1x4"]
Optic = Literal[
    "full_cutoff",
    "cutoff",
    "semi_cutoff",
    "forward_throw",
    "type_II",
    "type_III",
    "type_IV",
    "type_V",
    "wide",
    "narrow",
]
Control = Literal["photocell", "motion", "dimming", "timer", "none"]
Finish = Literal["bronze", "black", "white", "gray", "silver", "green"]
Mount = Literal[
    "wall",
    "arm",
    "slip_fitter",
    "trunnion",
    "yoke",
    "pendant",
    "chain",
    "surface",
    "recessed",
    "ceiling",
    "knuckle",
]
Dampness = Literal["wet", "damp"]
Intent = Literal[
    "quote", "revise", "explain", "compare", "layout", "accept", "status", "greet", "handoff", "other"
]

LightWant = Literal["level", "count", "spacing", "compare", "reach", "spill"]
Space = Literal[
    "parking_lot", "sales_lot", "street", "yard", "building", "entrance", "walkway", "gas_canopy", "loading_dock",
    "parking_garage", "warehouse", "storage", "shop", "gym", "court", "office", "classroom", "corridor", "store",
]  # fmt: skip
Arrangement = Literal["wall", "poles", "row", "room"]
"""How luminaires stand to each other: along a wall, over a lot, along a path or street, in a grid over a floor."""

FAMILIES: Final = get_args(Family)
SPACES: Final = get_args(Space)
LAMP_SOURCES: Final = get_args(LampSource)
INTENTS: Final = get_args(Intent)

HID_SOURCES: Final = frozenset({"MH", "PSMH", "CMH", "HPS", "LPS", "MV"})
LINEAR_SOURCES: Final = frozenset({"T12", "T8", "T5", "T5HO"})
EXTERIOR_FAMILIES: Final = frozenset(
    {
        "wall_pack",
        "flood",
        "area",
        "street",
        "canopy",
        "garage",
        "bollard",
        "post_top",
        "sign",
        "security",
        "landscape",
    }
)
"""Families that normally hang outdoors or in open garages (common practice, no source)."""

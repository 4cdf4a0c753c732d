"""Where a slot makes sense, and which words may stand for one another: trade knowledge that the fold needs (common practice, no source)."""

from collections.abc import Mapping
from typing import Any, Final

from engine.vocabulary import EXTERIOR_FAMILIES, HID_SOURCES, LINEAR_SOURCES

NEAR: Final[tuple[frozenset[str], ...]] = (
    frozenset({"area", "street", "post_top"}),
    frozenset({"area", "security"}),
    frozenset({"street", "security"}),
    frozenset({"high_bay", "low_bay"}),
    frozenset({"troffer", "panel"}),
    frozenset({"strip", "wrap", "vapor_tight"}),
    frozenset({"wall_pack", "sconce"}),
    frozenset({"canopy", "garage"}),
    frozenset({"flood", "sign", "landscape"}),
    frozenset({"downlight", "track"}),
)
"""Families that one writer may call by each other's names; used only where no line has the family itself."""

NEAR_SOURCES: Final[tuple[frozenset[str], ...]] = (
    frozenset({"MH", "PSMH", "CMH"}),
    frozenset({"HPS", "LPS"}),
    frozenset({"T5", "T5HO"}),
    frozenset({"INC", "HAL"}),
)

_LINEAR_ONLY: Final = frozenset({"troffer", "panel", "strip", "wrap", "exit", "track", "downlight"})
_NO_TUBES: Final = frozenset(
    {"area", "street", "flood", "bollard", "post_top", "security", "landscape", "exit", "track"}
)
_SIZED: Final = frozenset({"troffer", "panel"})
_NO_BATTERY: Final = frozenset(
    {"area", "street", "flood", "bollard", "post_top", "security", "landscape", "sign"}
)
_INDOOR: Final = frozenset(
    {"high_bay", "low_bay", "troffer", "panel", "strip", "wrap", "downlight", "track", "exit"}
)
_MOUNTED: Final[dict[str, frozenset[str]]] = {
    "wall": frozenset({"wall_pack", "sconce", "flood", "exit", "security", "vapor_tight", "wrap", "strip"}),
    "arm": frozenset({"area", "street", "security", "flood"}),
    "slip_fitter": frozenset({"area", "street", "flood", "post_top"}),
    "trunnion": frozenset({"flood", "area", "sign", "landscape"}),
    "yoke": frozenset({"flood", "area", "sign", "landscape", "high_bay"}),
    "knuckle": frozenset({"flood", "area", "sign", "landscape"}),
    "pendant": frozenset(
        {"high_bay", "low_bay", "strip", "wrap", "panel", "garage", "vapor_tight", "troffer", "downlight"}
    ),
    "chain": frozenset({"high_bay", "low_bay", "strip", "vapor_tight", "wrap"}),
    "recessed": frozenset({"troffer", "panel", "downlight", "canopy"}),
}
_OUTDOOR_OPTICS: Final = frozenset(
    {"full_cutoff", "cutoff", "semi_cutoff", "forward_throw", "type_II", "type_III", "type_IV", "type_V"}
)


def near_families(families: tuple[str, ...]) -> frozenset[str]:
    """All families that the writer may have meant by ``families``."""
    near: set[str] = set(families)
    for group in NEAR:
        if not group.isdisjoint(families):
            near |= group
    return frozenset(near)


def same_source(one: str | None, other: str | None) -> bool:
    """Whether a lamp called ``one`` may be the lamp called ``other``."""
    return one == other or any(one in group and other in group for group in NEAR_SOURCES)


def makes_sense(slot: str, value: Any, line: Mapping[str, Any]) -> bool:
    """Whether a slot said of the whole job can be meant of a line with these slot values. Unknown lines take everything."""
    family, source = line.get("family"), line.get("source")
    sense = True
    if slot == "source":
        if value in LINEAR_SOURCES:
            sense = family not in _NO_TUBES and source not in HID_SOURCES
        elif value in HID_SOURCES:
            sense = family not in _LINEAR_ONLY and source not in LINEAR_SOURCES
    elif slot == "size":
        sense = family is None or family in _SIZED
    elif slot in ("lamps", "lamp_feet"):
        sense = family not in _NO_TUBES and source not in HID_SOURCES
    elif slot == "dark_sky":
        sense = family not in _INDOOR
    elif slot == "optic":
        sense = family != "exit" and not (value in _OUTDOOR_OPTICS and family in _INDOOR)
    elif slot == "controls":
        sense = family != "exit" and not ("photocell" in value and family in _INDOOR)
    elif slot == "mount":
        sense = family is None or value not in _MOUNTED or family in _MOUNTED[value]
    elif slot == "emergency_backup":
        sense = family not in _NO_BATTERY
    elif slot in ("cct_k", "cri", "led_watts", "led_lumens", "spacing_ft", "keep_housing"):
        sense = family != "exit"
    elif slot == "damp_or_wet":
        sense = family is None or family not in EXTERIOR_FAMILIES or value == "wet"
    return sense


def contradicts(said: Mapping[str, Any], line: Mapping[str, Any], slots: tuple[str, ...]) -> bool:
    """Whether ``said`` and ``line`` give one of ``slots`` different values."""
    return any(slot in said and slot in line and said[slot] != line[slot] for slot in slots)

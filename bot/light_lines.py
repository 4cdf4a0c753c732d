"""What a photometric file says and what it gives on the ground, in plain words for the terminal."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from engine.light.bug import bug_rating
from engine.light.flood import flood_type
from engine.light.illuminance import Placed
from engine.light.lateral import lateral_class, longitudinal_class
from engine.light.lumens import outdoor_zones, planes_of, zone_lumens
from engine.light.photometry import Photometry
from engine.light.throw import reach_ft, widest_half_width_ft

_SYMMETRY: Final[Mapping[str, str]] = {
    "axial": "the same all round",
    "quarter": "four quarters alike",
    "half": "mirrored about the 0-180 plane",
    "half_sideways": "mirrored about the 90-270 plane",
    "none": "no symmetry",
}
NOTES: Final[Mapping[str, str]] = {
    "absolute": "Absolute photometry: measured on the luminaire itself, so there is no efficiency.",
    "circle_closed": "The last plane is one step short of 360; the plane of 0 was repeated there.",
    "dark_after_last_plane": "The planes end before 360; nothing is said to shine beyond the last one.",
    "downlight_unknown": "There is light at 90 degrees, where the file starts: what goes down is unknown.",
    "edition_unknown": "The first line names no known edition of LM-63; the rules of the one before were used.",
    "forward_unsure": "The file has no symmetry and says nowhere which way is forward: if C 90 is, add --spin-deg 90.",
    "lamp_lumens_missing": "The lamps' lumens are given as 0, so there is no efficiency; the light is not touched by that.",
    "lamp_sets": "The file lists several sets of lamps; the first one was used.",
    "measured_tilted": "The maker measured the luminaire tilted; angles are those of the file.",
    "nadir_uneven": "The planes differ straight down by more than a tenth of the maximum: a careless file.",
    "trailing_text": "Words follow the last number; they were left out.",
    "uplight_unknown": "There is light at the last vertical angle of the file: what goes further up is unknown.",
}
THROW_FC: Final = (1.0, 0.5, 0.2)
"""Levels whose reach is told: the lowest are what walkways and parking are asked for."""
_LONGITUDINAL: Final[Mapping[str, str]] = {
    "very_short": "very short",
    "short": "short",
    "medium": "medium",
    "long": "long",
    "very_long": "very long",
}
CAUTION: Final = (
    "Not a lighting design: one luminaire, no walls, no other light, the file's own lamp. Local code and a qualified designer "
    "decide."
)


def light_lines(
    photometry: Photometry,
    placed: Placed,
    points_ft: Sequence[tuple[float, float]],
    levels_fc: Sequence[float],
    spin_deg: float = 0.0,
) -> Iterator[str]:
    """The answer, line by line."""
    turned = "mirrored sideways" if photometry.symmetry == "half" else "both sides stored"
    shape = _SYMMETRY[photometry.symmetry] if photometry.type == "C" else turned
    yield f"{photometry.name}: {photometry.form}, type {photometry.type}, {shape}"
    watts = f", {photometry.input_watts:g} W" if photometry.input_watts else ""
    forward = f"; ahead is C {(photometry.forward_deg + spin_deg) % 360:g}" if photometry.type == "C" else ""
    yield (
        f"{placed.distribution.lumens:,.0f} lm{watts}, brightest {photometry.candela.max():,.0f} cd{forward}"
    )
    yield ""
    aim = f"tilted {placed.tilt_deg:g} degrees" if placed.tilt_deg else "level"
    light = "initial light" if placed.llf == 1 else f"light-loss factor {placed.llf:g}"
    yield f"{placed.height_ft:g} ft up, {aim}, {light}; feet to the right (x) and ahead (y):"
    yield ""
    yield f"{'x':>10}{'y':>10}{'fc':>12}"
    for (x_ft, y_ft), level_fc in zip(points_ft, levels_fc, strict=True):
        yield f"{x_ft:>10g}{y_ft:>10g}{level_fc:>12.4f}"
    yield ""
    yield from _reach_lines(placed)
    yield ""
    yield from _class_lines(photometry, placed, spin_deg)
    for key in photometry.notes:
        yield f"Note: {NOTES[key]}"
    yield CAUTION


def _reach_lines(placed: Placed) -> Iterator[str]:
    """How far each level is held, and the half width of its line where that is widest."""
    yield "Held on the ground as far out as, in feet (widest: half the width of the line ahead):"
    yield ""
    yield f"{'fc':>10}{'ahead':>10}{'left':>10}{'right':>10}{'widest':>10}"
    for level_fc in THROW_FC:
        reaches = [reach_ft([placed], level_fc, bearing) for bearing in (0.0, 90.0, -90.0)]
        reaches.append(widest_half_width_ft(placed, level_fc))
        cells = "".join(f"{'-' if reach is None else format(reach, '.1f'):>10}" for reach in reaches)
        yield f"{level_fc:>10.1f}{cells}"


def _class_lines(photometry: Photometry, placed: Placed, spin_deg: float) -> Iterator[str]:
    """Lumens by zone and what the light is classed as; types A and B are those of floodlights."""
    light = placed.distribution
    if photometry.type != "C":
        flood = flood_type(light)
        yield (
            f"Field to a tenth of the brightest: {flood.horizontal_deg:.0f} degrees wide, {flood.vertical_deg:.0f} high; "
            f"floodlight type {flood} (limits from memory)"
        )
        return
    planes = planes_of(photometry, spin_deg)
    below = ", ".join(f"{zone_lumens(planes, 0.0, to):,.0f} to {to:.0f}" for to in (30.0, 60.0, 90.0))
    above = f"{zone_lumens(planes, 90.0, 180.0):,.0f} above" if light.uplight_known else "above unknown"
    yield f"Lumens from straight down: {below} degrees, {above}"
    lateral = lateral_class(light)
    rating = bug_rating(
        outdoor_zones(planes), round_type=lateral in ("V", "VS"), uplight_known=light.uplight_known
    )
    unverified = f" (limits of {', '.join(rating.unverified)} unverified)" if rating.unverified else ""
    along = _LONGITUDINAL[longitudinal_class(light)]
    yield f"Rating, hung level: {rating}{unverified}; lateral type {lateral}, {along}"

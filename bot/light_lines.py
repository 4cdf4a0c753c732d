"""What a photometric file says and what it gives on the ground, in plain words for the terminal."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from engine.light.illuminance import Placed
from engine.light.photometry import Photometry

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
    for key in photometry.notes:
        yield f"Note: {NOTES[key]}"
    yield CAUTION

"""Does a product fit the place? Family, mount, voltage, wet rating, optic, colour, finish, dark-sky: yes, or the one reason why not."""

from collections.abc import Callable
from typing import Final

from engine.catalog.product import Product
from engine.proposal import Reason
from engine.request import StatedLine
from engine.vocabulary import Family

ALSO_SERVES: Final[dict[Family, tuple[Family, ...]]] = {
    "troffer": ("panel",),
    "panel": ("troffer",),
    "low_bay": ("high_bay",),
}
"""Families that may stand in for another where the place allows (common practice, no source)."""

MUST_BE_WET: Final = frozenset(
    {"wall_pack", "flood", "area", "street", "bollard", "post_top", "sign", "security", "landscape"}
)
"""Families open to rain: a replacement must be marked for wet locations (NEC 410.10(A))."""
MUST_BE_DAMP: Final = frozenset({"canopy", "garage", "vapor_tight"})

_VOLTAGE_FITS: Final[dict[int | str, tuple[str, ...]]] = {
    12: ("12",),
    24: ("12",),
    120: ("120", "120-277"),
    208: ("120-277",),
    220: ("120-277",),
    230: ("120-277",),
    240: ("120-277",),
    277: ("120-277", "277-480"),
    347: ("347-480", "277-480"),
    480: ("347-480", "277-480"),
    "120-277": ("120-277",),
    "347-480": ("347-480",),
}

Check = Callable[[StatedLine, Product], Reason | None]


def families_for(family: Family) -> tuple[Family, ...]:
    """The families searched for a line of ``family``, its own first."""
    return (family, *ALSO_SERVES.get(family, ()))


def _short(key: str, wanted: object, offered: object) -> Reason:
    return Reason(key, {"wanted": wanted, "offered": offered})


def kind(line: StatedLine, product: Product) -> Reason | None:
    """A new luminaire, unless the writer keeps the housing."""
    wanted = "retrofit" if line.keep_housing else "luminaire"
    offered = "luminaire" if product.kind == "luminaire" else "retrofit"
    return None if wanted == offered else Reason("kind", {"wanted": wanted, "kind": product.kind})


def replaces(line: StatedLine, product: Product) -> Reason | None:
    """A kit or lamp fits only what it was made to replace."""
    if product.kind == "luminaire" or line.source is None or line.source in product.replaces_source:
        return None
    return _short("replaces_source", line.source, "|".join(product.replaces_source))


def voltage(line: StatedLine, product: Product) -> Reason | None:
    """Not stated: 120-277 is what is offered, except for low-voltage families."""
    if line.voltage is None:
        ok = product.voltage in ("120-277", "120", "12")
        return None if ok else _short("voltage", "120-277", product.voltage)
    fits = _VOLTAGE_FITS.get(line.voltage, ())
    return None if product.voltage in fits else _short("voltage", line.voltage, product.voltage)


def wet_rating(line: StatedLine, product: Product) -> Reason | None:
    """What was stated, and never less than the family's usual place needs."""
    needed = line.damp_or_wet
    if product.kind != "lamp":
        if line.family in MUST_BE_WET:
            needed = "wet"
        elif line.family in MUST_BE_DAMP and needed is None:
            needed = "damp"
    if needed is None or product.wet_rating == "wet" or (needed == "damp" and product.wet_rating == "damp"):
        return None
    if product.kind == "lamp" and line.damp_or_wet is None:
        return None
    return _short("wet_rating", needed, product.wet_rating or "dry")


def optic(line: StatedLine, product: Product) -> Reason | None:
    """Full cutoff also serves where cutoff or semi-cutoff was asked; a distribution type must be the very one."""
    if line.optic is None:
        return None
    shielding = product.shielding or "standard"
    offered = {product.optic, shielding}
    if shielding == "full_cutoff":
        offered |= {"cutoff", "semi_cutoff"}
    if shielding == "cutoff":
        offered |= {"semi_cutoff"}
    if product.optic == "type_IV":
        offered |= {
            "forward_throw"
        }  # forward throw is the trade's word for type IV (common practice, no source)
    if product.optic == "forward_throw":
        offered |= {"type_IV"}
    return None if line.optic in offered else _short("optic", line.optic, product.optic or shielding)


def dark_sky(line: StatedLine, product: Product) -> Reason | None:
    """Asked for: the product must be marked so."""
    return Reason("dark_sky", {}) if line.dark_sky and not product.dark_sky else None


def size(line: StatedLine, product: Product) -> Reason | None:
    """A grid opening takes one size."""
    if line.size is None or product.size is None or product.kind == "lamp":
        return None
    return None if line.size == product.size else _short("size", line.size, product.size)


def lamp_feet(line: StatedLine, product: Product) -> Reason | None:
    """Strips, wraps and tubes come by length; a 2x4 says its own."""
    if line.lamp_feet is None or product.lamp_feet is None or line.size is not None:
        return None
    return (
        None
        if abs(line.lamp_feet - product.lamp_feet) < 0.6
        else _short("lamp_feet", line.lamp_feet, product.lamp_feet)
    )


def cri(line: StatedLine, product: Product) -> Reason | None:
    """At least the colour rendering asked for."""
    return None if line.cri is None or product.cri >= line.cri else _short("cri", line.cri, product.cri)


def emergency_backup(line: StatedLine, product: Product) -> Reason | None:
    """A battery was asked for: the product must offer one."""
    return Reason("emergency_backup", {}) if line.emergency_backup and not product.emergency_option else None


def cct(line: StatedLine, product: Product) -> Reason | None:
    """The colour asked for must be among those on offer."""
    if line.cct_k is None or line.cct_k in product.cct_k:
        return None
    return _short("cct", line.cct_k, "|".join(str(k) for k in product.cct_k))


def finish(line: StatedLine, product: Product) -> Reason | None:
    """The finish asked for, where the product has finishes at all."""
    if line.finish is None or not product.finishes or line.finish in product.finishes:
        return None
    return _short("finish", line.finish, "|".join(product.finishes))


def mount(line: StatedLine, product: Product) -> Reason | None:
    """The mount asked for, where the product names mounts at all."""
    if line.mount is None or not product.mounts or line.mount in product.mounts:
        return None
    return _short("mount", line.mount, "|".join(product.mounts))


HARD: Final[tuple[Check, ...]] = (
    kind, replaces, voltage, wet_rating, size, lamp_feet, optic, dark_sky, emergency_backup,
)  # fmt: skip
"""Checks that are never waived."""
SOFT: Final[tuple[Check, ...]] = (cri, cct, mount, finish)
"""Checks that are waived, last first, where nothing else fits; the option then says so."""


def misfit(line: StatedLine, product: Product, checks: tuple[Check, ...]) -> Reason | None:
    """The first of ``checks`` that ``product`` fails on ``line``, or ``None`` where it fits."""
    for check in checks:
        reason = check(line, product)
        if reason is not None:
            return reason
    return None

"""Which cautions a quote must carry: always the licensed electrician and the local code, others where the job calls for them.

Rules and their sources stand in the cautions table; here is only when each is raised.
"""

from collections.abc import Sequence

from engine.proposal import Caution, QuoteLine
from engine.vocabulary import HID_SOURCES, LINEAR_SOURCES

ALWAYS = ("licensed_work", "listed_equipment", "lockout", "savings_are_estimates")
LAMPS_WITH_MERCURY = HID_SOURCES | LINEAR_SOURCES | {"CFL", "IND"}
WORK_AT_HEIGHT_FT = 6.0
"""OSHA 29 CFR 1926.501(b)(1): fall protection from 6 ft in construction work."""
LIKELY_HEIGHT_FT = 10.0
WET_FAMILIES = frozenset(
    {"wall_pack", "flood", "area", "street", "canopy", "bollard", "post_top", "sign", "security", "landscape"}
)
POLE_FAMILIES = frozenset({"area", "street", "post_top"})
BOUNDARY_FAMILIES = frozenset({"wall_pack", "flood", "area", "street", "sign", "security"})
EGRESS_BUILDINGS = frozenset(
    {
        "office",
        "school",
        "warehouse",
        "hospital",
        "church",
        "retail",
        "hotel",
        "apartment",
        "restaurant",
        "parking_garage",
    }
)


def cautions_for(lines: Sequence[QuoteLine], building: str | None) -> tuple[Caution, ...]:
    """Cautions in the order they should be read: what always holds, then what these lines call for."""
    raised: dict[str, list[int]] = {key: [] for key in ALWAYS}

    def raise_for(key: str, index: int) -> None:
        raised.setdefault(key, []).append(index)

    for line in lines:
        i, said = line.index, line.stated
        family, source = (
            said.family,
            line.existing.source if line.existing is not None else said.source,
        )
        if said.voltage is None or said.voltage in (277, 347, 480, "120-277", "347-480"):
            raise_for("voltage_check", i)
        if family in WET_FAMILIES or said.damp_or_wet is not None:
            raise_for("wet_location", i)
        if (said.height_ft is not None and said.height_ft >= WORK_AT_HEIGHT_FT) or (
            said.height_ft is None
            and family in ("high_bay", "area", "street", "flood", "wall_pack", "low_bay")
        ):
            raise_for("height", i)
        if family in POLE_FAMILIES:
            raise_for("pole_structure", i)
            raise_for("overhead_lines", i)
        if source in LAMPS_WITH_MERCURY:
            raise_for("mercury", i)
        if source in LINEAR_SOURCES or source in HID_SOURCES:
            raise_for("pcb", i)
        if source in LINEAR_SOURCES and family not in WET_FAMILIES:
            raise_for("ballast_disconnect", i)
        if said.keep_housing:
            raise_for("retrofit_kit", i)
        if said.emergency_backup or family == "exit":
            raise_for("egress", i)
        if family in BOUNDARY_FAMILIES:
            raise_for("glare_trespass", i)
        if family == "high_bay" and source in ("MH", "PSMH"):
            raise_for("open_rated_mh", i)
        if line.options:
            raise_for("light_level_not_designed", i)
    if building in EGRESS_BUILDINGS or any(line.stated.family in ("garage", "canopy") for line in lines):
        raised.setdefault("egress", [])
    if sum(line.stated.qty or 1 for line in lines) >= 10:
        raised.setdefault("energy_code", [])
    return tuple(Caution(key, tuple(indexes)) for key, indexes in raised.items())

"""The generic photometric file of what hangs there now: a line, completed as a quote completes it, as relative photometry."""

from dataclasses import replace
from typing import Final

import numpy as np

from engine.existing import Lookups, complete
from engine.light.generic import generic_light, generic_photometry
from engine.light.photometry import Photometry
from engine.request import StatedLine
from engine.tables.miss import NoSuchRow, plain
from engine.tables.tables import Tables

_TENTHS: Final = 1


def legacy_photometry(line: StatedLine, tables: Tables) -> Photometry | None:
    """What stands for the line's present luminaire: generic shape, initial lamp lumens x ballast factor, table efficiency.

    Lumens are initial, as photometric files give them; what age and dirt leave is a light-loss factor's business.

    Returns:
        ``None`` where the family, the lamp or a shape for them is not known.
    """
    if line.family is None:
        return None
    lookups = Lookups(tables)
    done = complete(0, line, line.family, lookups)
    existing = done.existing
    if existing is None or existing.source is None or existing.lamp_watts is None:
        return None
    lamp = lookups.lamp(existing.source, existing.lamp_watts, existing.lamp_feet)
    found = generic_light(tables, existing.family, existing.source, line.optic)
    if isinstance(lamp, NoSuchRow) or isinstance(found, NoSuchRow):
        return None
    factor = lookups.ballast_factor(existing.source, existing.ballast or None)
    on_ballast = 1.0 if isinstance(factor, NoSuchRow) else factor.factor
    made = generic_photometry(found, lamp.initial_lumens * existing.lamps * on_ballast, done.facts.efficiency)
    watts = existing.input_watts
    lamps = f"{existing.lamps} x {existing.source} {plain(existing.lamp_watts)} W, {lamp.initial_lumens:,.0f} lm initial each"
    ballast = f"{existing.ballast} ballast, factor {plain(on_ballast)}" if existing.ballast else "no ballast"
    count = f"{existing.lamps}x" if existing.lamps != 1 else ""
    return replace(
        made,
        name=f"generic-{existing.family.replace('_', '-')}-{existing.source}-{count}{plain(existing.lamp_watts)}W.ies",
        candela=np.round(made.candela, _TENTHS),
        input_watts=None if watts is None else float(watts.value),
        labels=(
            *made.labels,
            ("LAMP", lamps),
            ("BALLAST", ballast),
            ("_EFFICIENCY", f"{plain(done.facts.efficiency)} of lamp lumens, families.csv"),
        ),
    )

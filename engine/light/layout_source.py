"""One side's luminaire as a layout needs it: its even table, the maintained lumens that leave it, and where both are from."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from engine.figure import Figure, Kind, Origin, derive, total
from engine.light.distribution import Distribution
from engine.light.illuminance import Placed, horizontal_fc

When = Literal["before", "after"]
MOST_TOLD: Final = 6
"""Luminaires that a trace names one by one at a point; what the others give is one figure."""


@dataclass(frozen=True, slots=True)
class LightSource:
    """A luminaire's light.

    Attributes:
        when: what hangs there now, or what would.
        distribution: of the luminaire; only its shape counts, ``lumens`` says how much.
        lumens: maintained, out of one luminaire [lm].
        kind, source, reference: where the shape is from, as an origin says it.
        generic: a shape of ours stands for it.
        spread: how far its light in one place may be off, as a share.
        tilt_deg: how far it is aimed up from straight down.
    """

    when: When
    distribution: Distribution
    lumens: Figure
    kind: Kind
    source: str
    reference: str
    generic: bool = False
    spread: float = 0.0
    tilt_deg: float = 0.0

    @property
    def scale(self) -> float:
        """Maintained lumens over those of the table [1]: what a `Placed` takes as its light-loss factor."""
        return float(self.lumens.value) / self.distribution.lumens

    def at(self, x_ft: float, y_ft: float, above_ft: float, facing_deg: float = 0.0) -> Placed:
        """One of them in its place, ``above_ft`` over what is lit."""
        return Placed(self.distribution, x_ft, y_ft, above_ft, facing_deg, self.tilt_deg, self.scale)

    def leaf(self, name: str, value: float, unit: str, source: str = "") -> Figure:
        """A number read or worked out from the light's shape; a generic one may be off by its spread."""
        low, high = (value * (1 - self.spread), value * (1 + self.spread)) if self.spread else (None, None)
        how = f"{source}; {self.source}" if source else self.source
        return Figure(name, value, unit, Origin(self.kind, how, self.reference, low, high))


def named(name: str, source: LightSource) -> str:
    """Figures of the two sides are told apart by their ending: "average_fc_after"."""
    return f"{name}_{source.when}"


def level_figure(
    name: str, source: LightSource, placed: Sequence[Placed], point_ft: tuple[float, float], above: Figure
) -> Figure:
    """The maintained level at one point [fc]: what each luminaire gives there, by I x H / r3, added up.

    Args:
        name: of the figure; the side's ending is added.
        source: of every luminaire in ``placed``.
        placed: the luminaires, all ``above`` the plane.
        point_ft: on the plane.
        above: height of the luminaires over the plane [ft].
    """
    shares = sorted(
        ((float(horizontal_fc([one], np.array([point_ft]))[0]), n) for n, one in enumerate(placed)),
        key=lambda share: (-share[0], share[1]),
    )
    told = [n for fc, n in shares[:MOST_TOLD] if fc > 0]
    figures = [_from_one(source, placed[n], point_ft, above) for n in told]
    rest = sum(fc for fc, n in shares if n not in told)
    if rest > 0 or not figures:
        figures.append(source.leaf("light_from_others", rest, "fc", "all the others together"))
    return total(named(name, source), "fc", figures)


def _from_one(source: LightSource, one: Placed, point_ft: tuple[float, float], above: Figure) -> Figure:
    east, north = point_ft[0] - one.x_ft, point_ft[1] - one.y_ft
    distance = math.sqrt(east * east + north * north + one.height_ft * one.height_ft)
    level = float(horizontal_fc([one], np.array([point_ft]))[0])
    # E = I H / r3; the intensity is told per lumen, so that the lumens keep their own working
    per_lumen = level * distance**3 / (one.height_ft * float(source.lumens.value))
    away = math.hypot(east, north)
    leaves = (
        source.leaf("candela_per_lumen", per_lumen, "cd/lm"),
        Figure(
            "distance_ft",
            distance,
            "ft",
            Origin("definition", f"from a luminaire {away:.1f} ft away on the ground", "distance_ft"),
        ),
    )
    lumens = source.lumens
    return derive(
        "light_from_one",
        "fc",
        f"candela_per_lumen * {lumens.name} * {above.name} / distance_ft ** 3",
        leaves[0],
        lumens,
        above,
        leaves[1],
    )

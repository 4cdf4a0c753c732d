"""The shapes of a simple layout: what it was worked out for, both sides' figures, what can be said, what was taken for granted.

Keys are for programs; the words for people are the bot's. A layout is a first count from photometric files, never a design.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final, Literal

from engine.figure import Figure
from engine.light.bug import Bug
from engine.light.illuminance import Placed
from engine.light.layout_source import LightSource
from engine.light.scene import Scene
from engine.request import AskedLight, StatedLine
from engine.tables.rows import LightLevelRow, SpaceRow, SpillLimitRow
from engine.tables.tables import Tables
from engine.vocabulary import Arrangement, LampSource

Measure = Literal["average", "minimum"]


@dataclass(frozen=True, slots=True)
class Say:
    """One sentence: a key of `engine.keys.LAYOUT_KEYS` and the values that its wording needs."""

    key: str
    values: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, eq=False)
class Setting:
    """What a layout is worked out from.

    Attributes:
        index: of the line. ``stated``: as it was said.
        asked: what was asked of light.
        arrangement: how the luminaires stand to each other.
        space: the kind of place; ``space_is_assumed`` where the luminaires only suggest it.
        scene: where they hang.
        level: to be held [fc], stated or as usual there; ``measure``: on average or in the darkest place.
        before, after: the two sides; ``before`` is ``None`` where the present light is not known.
        watts: input of one new luminaire [W].
        tables: the reference tables.
        lamp: kind and watts of the present lamp where they were not said in full, else ``None``.
    """

    index: int
    stated: StatedLine
    asked: AskedLight
    arrangement: Arrangement
    space: SpaceRow
    space_is_assumed: bool
    scene: Scene
    level: Figure
    measure: Measure
    before: LightSource | None
    after: LightSource
    watts: Figure
    tables: Tables
    lamp: tuple[LampSource, float] | None = None

    @property
    def above_ft(self) -> float:
        """Luminaires over the plane that is lit [ft]."""
        return float(self.scene.above_ft.value)

    @property
    def sides(self) -> tuple[LightSource, ...]:
        """What hangs there now, where known, and what would."""
        return (self.after,) if self.before is None else (self.before, self.after)

    @property
    def level_was_asked(self) -> bool:
        """Whether the writer named the level."""
        return self.asked.level_fc is not None

    def one(self, source: LightSource) -> Placed:
        """A luminaire of a side, hung at 0, 0."""
        return source.at(0.0, 0.0, self.above_ft)


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """What a picture of the layout shows, in feet.

    Attributes:
        kind: along a wall, on poles, in a row without a wall, in a room.
        x_ft, y_ft: the stretch of plan that is shown.
        before, after: luminaires of each side in their places; ``before`` may be empty.
        level_fc: whose lines are drawn.
        height_ft: of the luminaires over the floor or ground; ``plane_ft`` of the plane that is lit.
        bounds_ft: of the room or lot, from 0, 0; ``None`` where it goes on.
        mark_ft: a place worth marking (the darkest); ``line_ft``: a property line so far out.
        reflected_before_fc, reflected_after_fc: what surfaces add everywhere.
    """

    kind: Arrangement
    x_ft: tuple[float, float]
    y_ft: tuple[float, float]
    before: tuple[Placed, ...]
    after: tuple[Placed, ...]
    level_fc: float
    height_ft: float
    plane_ft: float
    bounds_ft: tuple[float, float] | None = None
    mark_ft: tuple[float, float] | None = None
    line_ft: float | None = None
    reflected_before_fc: float = 0.0
    reflected_after_fc: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Outcome:
    """What one arrangement came to.

    Attributes:
        says: the answer, the most telling first.
        figures: by name; those of the two sides end in "_before" and "_after".
        assumed: leaves that were taken for granted.
        question: what to ask, as a path ("light.size", "light.run"); "" for nothing.
        held: the figure that the level is compared with, of the new luminaires.
        drawn: for a picture.
        density: input power of the new luminaires over area or length, where both are known.
    """

    says: tuple[Say, ...]
    figures: Mapping[str, Figure]
    assumed: tuple[Figure, ...] = ()
    question: str = ""
    held: Figure | None = None
    drawn: Drawn | None = None
    density: Figure | None = None


@dataclass(frozen=True, slots=True)
class Allowance:
    """Exterior lighting power that a code allows, beside what the layout draws; guidance.

    Attributes:
        edition, area, unit: as in exterior_power_allowance.csv.
        density: of the new luminaires, in that unit.
        zone2, zone3: what is allowed in homes' and business districts' zones; ``base_watts`` for the site on top, zone 3.
    """

    edition: str
    area: str
    unit: str
    density: Figure
    zone2: Figure
    zone3: Figure
    base_watts: Figure


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """A simple layout for one line of a job.

    Attributes:
        setting: what it was worked out from.
        says: the answer, sentence by sentence.
        figures: every figure by name.
        assumed: leaves that were taken for granted.
        guides: levels that rules and guides name for such a place, the first the one that the answer is held against.
        allowance: lighting power that a code allows; ``None`` indoors and where the area is not known.
        bug: backlight, uplight, glare of the new luminaire; ``None`` indoors.
        limits: what a model ordinance lets be at a property line; empty where no line was asked about.
        question: what to ask; "" for nothing.
        drawn: for a picture.
    """

    setting: Setting
    says: tuple[Say, ...]
    figures: Mapping[str, Figure]
    assumed: tuple[Figure, ...]
    guides: tuple[LightLevelRow, ...]
    allowance: Allowance | None
    bug: Bug | None
    limits: tuple[SpillLimitRow, ...]
    question: str
    drawn: Drawn | None

    @property
    def leading(self) -> str:
        """The name of the figure that the answer leads with; "" where it has none."""
        for say in self.says:
            for name in _LEADING.get(say.key, ()):
                if name in self.figures:
                    return name
        return next((name for name in self.figures if name.endswith("_after")), "")


_LEADING: Final = {
    "room_light": ("average_fc_after",),
    "room_count": ("luminaires_needed_after",),
    "room_count_one_row": ("luminaires_needed_after",),
    "room_at_spacing": ("average_fc_after",),
    "room_capacity": ("area_held_ft2_after",),
    "room_spacing": ("spacing_ft_after",),
    "lot_light": ("average_fc_after",),
    "lot_count": ("average_fc_after",),
    "lot_spacing": ("least_fc_after",),
    "lot_at_spacing": ("least_fc_after",),
    "wall_count": ("luminaires_needed_after",),
    "wall_spacing": ("least_fc_after",),
    "wall_light": ("least_fc_after",),
    "row_count": ("luminaires_needed_after",),
    "row_spacing": ("least_fc_after",),
    "row_light": ("least_fc_after",),
    "level_out": ("level_out_fc_after",),
    "reach": ("reach_ahead_ft_after",),
    "reach_both": ("reach_ahead_ft_after",),
    "line_ahead": ("line_fc_after",),
    "line_behind": ("line_fc_after",),
}
"""The figure behind each opening sentence."""

"""The shapes of a quote: what hangs there, what replaces it, what it costs and saves, how far that could move.

Keys (of reasons, cautions, questions, stops) are for programs; the words for people are the bot's, per channel and language.
"""

import math
from collections.abc import Mapping, Sequence
from typing import Any, Literal

from engine.catalog.product import Product
from engine.figure import Figure
from engine.light.before_after import BeforeAfter
from engine.light.layout_shape import Layout
from engine.money.life_cycle import LifeCycle
from engine.record import record
from engine.request import Request, StatedLine
from engine.vocabulary import Family, Finish, LampSource, Mount


@record
class Assumption:
    """Something that was not said and that we took for the quote's sake.

    Attributes:
        path: "job.rate_per_kwh", "lines.0.source", or a name without a slot ("lines.0.ballast", "optics_factor").
        value, low, high: numbers, or words for a kind of thing (then ``low`` and ``high`` are ``None``).
        unit: as in `Figure`; "" for words.
        source: why this value, with its published name.
        others: what else it could be, most likely first (words only).
        swing_years: how much the payback moves between ``low`` and ``high`` (or among ``others``); 0 when not at all.
        name: the figure's own name ("labor_usd_per_hour"), where ``path`` is the slot that would replace it; else as ``path``.
        affects_money: False where only the light comparison or the whole-life figures rest on it, not the payback.
    """

    path: str
    value: Any
    low: Any
    high: Any
    unit: str
    source: str
    others: tuple[Any, ...] = ()
    swing_years: float = 0.0
    name: str = ""
    affects_money: bool = True


@record
class Existing:
    """The luminaire that hangs there now, one line of the job.

    Attributes:
        source: lamp technology; ``None`` only where LED is asked for and nothing was said of the present kind.
        figures: ``input_watts_before`` [W], ``delivered_lumens_before`` [lm] and what they came from.
        ballast: e.g. "CWA"; "" where there is none.
    """

    family: Family
    source: LampSource | None
    lamp_watts: float | None
    lamps: int
    lamp_feet: float | None
    ballast: str
    source_is_assumed: bool
    input_watts: Figure | None
    delivered_lumens: Figure | None


@record
class Reason:
    """Why an option is offered, or why a product was passed over: a key and the values its wording needs."""

    key: str
    values: Mapping[str, Any]


@record
class Option:
    """A product that fits, with what it would do on this line.

    Attributes:
        role: why it is among the (up to three) offered: closest light, lowest cost, or what sets it apart.
        cct_k, finish, mount: the choice to order, from what was stated or the catalogue's first.
        light_ratio: delivered lumens after / before (maintained); ``None`` where the present light is not known.
        pieces_each: products that go into one luminaire: 1, or as many as there are lamps for a lamp swap.
        concerns: what a person should know before ordering ("special_order", "finish_not_offered", ...).
        figures: by name, the same names as `QuoteLine.figures`, as if this option were chosen.
    """

    product: Product
    role: Literal["closest_light", "least_cost", "most_saving", "quickest", "brightest"]
    reasons: tuple[Reason, ...]
    concerns: tuple[Reason, ...]
    pieces_each: int
    cct_k: int
    finish: Finish | None
    mount: Mount | None
    light_ratio: Figure | None
    figures: Mapping[str, Figure]


@record
class PassedOver:
    """A product of the right family that was not offered, and by what it fell short."""

    part_number: str
    reason: Reason


@record
class QuoteLine:
    """One luminaire type: as stated, what hangs there, what is offered.

    Attributes:
        problem: why nothing can be offered yet ("family_unknown", "nothing_fits", "already_led", "needs_person"); else ``None``.
        chosen: index into ``options`` that totals are computed with; ``None`` without options.
        figures: of the chosen option. Names: qty, hours_per_year, input_watts_before, input_watts_after, kw_before, kw_after,
            kw_saved, kwh_before_per_year, kwh_after_per_year, kwh_saved_per_year, energy_cost_saved_per_year,
            demand_cost_saved_per_year, maintenance_before_per_year, maintenance_after_per_year, maintenance_saved_per_year,
            saved_per_year, unit_price, product_cost, labor_cost, project_cost, rebate, net_cost, simple_payback_years,
            like_for_like_cost, premium_cost, premium_payback_years, delivered_lumens_before, delivered_lumens_after.
            A payback that never comes is absent. Where the light of both sides is known, those of `BeforeAfter.figures` too.
        matched_by: what made the first option the first: the level at places that count, delivered lumens, or what was asked for.
        light: the chosen option's light beside the present one's; ``None`` where either side's distribution is not known.
    """

    index: int
    stated: StatedLine
    existing: Existing | None
    options: tuple[Option, ...]
    chosen: int | None
    passed_over: tuple[PassedOver, ...]
    figures: Mapping[str, Figure]
    problem: Reason | None = None
    matched_by: Literal["light", "lumens", "asked"] | None = None
    light: BeforeAfter | None = None


@record
class Spread:
    """How far a result could move: base, and the range that holds 8 times in 10 when all assumptions move together."""

    base: float
    low: float
    high: float


@record
class Swing:
    """One uncertain leaf's own effect on one result, everything else at base.

    Attributes:
        key: what identifies the leaf (its reference, else its name).
        leaf: a figure that carries it.
        at_low, at_high: the result with the leaf at its low and at its high; ``inf`` where it never pays back.
    """

    key: str
    leaf: Figure
    at_low: float
    at_high: float

    @property
    def width(self) -> float:
        """How far the result moves [unit of the result]; ``inf`` where one end only never pays back."""
        if math.isinf(self.at_low) and math.isinf(self.at_high):
            return 0.0
        return abs(self.at_high - self.at_low)


@record
class Question:
    """A missing fact worth asking for, in order of what it would change.

    Attributes:
        path: the slot ("job.rate_per_kwh", "lines.0.source", "lines.*.voltage").
        options: answers to offer, if a few cover nearly all.
        swing_years: how far the payback moves over its range; 0 where it changes the choice and not the payback.
        changes_choice: True where an answer could change which product is offered.
    """

    path: str
    options: tuple[Any, ...]
    swing_years: float
    changes_choice: bool


@record
class Caution:
    """A caution to show, by key of the cautions table, with the lines that called for it (empty: always shown)."""

    key: str
    lines: tuple[int, ...] = ()


@record
class Quote:
    """The whole answer. Same request, catalogue and tables: the same quote.

    Attributes:
        stop: set where a person must take over and nothing is priced ("hazardous_location", "emergency", ...).
        totals: figures over all lines with an option; same names as in the lines, and npv, irr and the other whole-life figures
            where they exist. ``simple_payback_years`` is absent where it never pays back.
        spreads: by figure name, the combined range of the totals.
        swings: what each uncertain figure alone does to the payback, the widest first.
        notes: what the money leaves out or caps (keys of `engine.keys.NOTE_KEYS`).
        cash_band: cumulative cash at today's prices, undiscounted, years 0 to N [USD]: base and the range of the draws;
            worked out when looked at.
        layouts: what was asked of light, answered line by line; empty where nothing was.
        life_cycle: the whole-life reckoning; ``None`` where nothing of the present lights is known.
    """

    request: Request
    lines: tuple[QuoteLine, ...]
    totals: Mapping[str, Figure]
    hours_per_year: Figure | None
    assumptions: tuple[Assumption, ...]
    spreads: Mapping[str, Spread]
    swings: tuple[Swing, ...]
    questions: tuple[Question, ...]
    cautions: tuple[Caution, ...]
    stop: Reason | None
    notes: tuple[Reason, ...]
    life_cycle: LifeCycle | None
    cash_band: Sequence[Spread]
    catalog_version: str
    tables_version: str
    layouts: tuple[Layout, ...] = ()

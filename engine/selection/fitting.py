"""Which products fit a line and give the light that is wanted, whatever its count, in the order in which they are offered.

What fits the place; of that what gives the light that is there now (or the watts or lumens that were asked for), at the
places that count where the light of both sides is known, else in delivered lumens; of those the closest in light first.
Ties end in the part number, so that file order never matters.
"""

import math
from collections.abc import Sequence
from dataclasses import field
from decimal import Decimal
from operator import attrgetter
from typing import Any, Final

from engine.catalog.product import Product
from engine.proposal import PassedOver, Reason
from engine.record import record
from engine.request import StatedLine
from engine.selection.fit import HARD, SOFT, Check, misfit
from engine.selection.light_goal import LEAST_LIGHT_HELD, WORTH_LOOKING, Held, LightGoal

LEAST_RATIO: Final = LEAST_LIGHT_HELD
MOST_RATIO: Final = 1.6
"""Light after over before, outside which a product is passed over as too dim or too bright: at the place that keeps least
where the light of both sides is known, else delivered."""
EQUAL_LOW: Final = 0.93
"""From here up a person sees no loss (a tenth is about what a careful eye notices; common practice, no source)."""
LIGHT_STEP: Final = 0.08
"""Two products whose light differs by less than this are alike in light; stock and price then decide."""
ASKED_WATTS_SHARE: Final = 0.15
ASKED_LUMENS_SHARE: Final = 0.15


@record
class Target:
    """What the new luminaire has to deliver.

    Attributes:
        useful_lumens: maintained lumens that the present luminaire delivers where they are wanted [lm]; ``None`` where unknown.
        led_light_loss: share of an LED luminaire's initial lumens that counts as maintained (0..1).
        input_watts: what the present luminaire draws [W]; ``None`` where unknown.
        lamps: lamps in the present luminaire: a lamp swap needs that many.
        goal: the levels to hold; ``None`` where the present light's distribution is not known.
    """

    useful_lumens: float | None
    led_light_loss: float
    input_watts: float | None
    lamps: int = 1
    goal: LightGoal | None = None


def pieces_each(product: Product, target: Target) -> int:
    """Pieces per luminaire: a replacement lamp goes in as often as there are lamps."""
    return target.lamps if product.kind == "lamp" else 1


def light_ratio(product: Product, target: Target) -> float | None:
    """Maintained light after over useful light before; ``None`` where the present light is unknown."""
    if target.useful_lumens is None:
        return None
    return product.lumens * pieces_each(product, target) * target.led_light_loss / target.useful_lumens


def held(product: Product, target: Target) -> Held | None:
    """Where ``product`` keeps least of the present light; ``None`` where either side's distribution is not known."""
    if target.goal is None:
        return None
    lumens = product.lumens * pieces_each(product, target) * target.led_light_loss
    return target.goal.held(product, lumens)


def matched_ratio(product: Product, target: Target, by_light: bool) -> float | None:
    """Light after over before: at the place that keeps least, or delivered; ``None`` where the present light is unknown."""
    kept = held(product, target) if by_light else None
    return light_ratio(product, target) if kept is None else kept.ratio


@record
class Candidate:
    """A product that fits a line, with what its place among the others rests on and no count changes.

    Attributes:
        light: light after over before, as in `matched_ratio`.
        likeness: own family, then steps of light away from what is wanted, then plain variants: ascending.
        price: of one luminaire [USD], then the part number.
        watts: of the pieces in one luminaire [W].
        in_stock: pieces on hand.
    """

    product: Product
    light: float | None
    likeness: tuple[int, int, int]
    price: tuple[Decimal, str]
    watts: float
    in_stock: int

    def shelf(self, needed: int) -> int:
        """0 where as many as are needed are on hand, 1 where some are, 2 where none is."""
        return 0 if self.in_stock >= needed else 1 if self.in_stock else 2


@record
class Fitting:
    """The products that fit a line whatever its count, and why the others don't.

    Attributes:
        products: in the order in which they are offered where all are equally on hand.
        by_light: levels at places were matched; else delivered lumens, or what was asked for.
        stocks: how many of them are on hand, ascending.
        offers: what `engine.selection.choose` offers of them, by how many of ``stocks`` are less than the count.
    """

    products: tuple[Candidate, ...]
    passed_over: tuple[PassedOver, ...]
    by_light: bool = False
    stocks: tuple[int, ...] = ()
    offers: dict[int, Any] = field(default_factory=dict, compare=False, repr=False)
    _beside: dict[tuple[str, ...], tuple[PassedOver, ...]] = field(
        default_factory=dict, compare=False, repr=False
    )

    def passed_over_beside(self, offered: tuple[str, ...]) -> tuple[PassedOver, ...]:
        """Why every product but those of the part numbers ``offered``, the best first, was passed over, by part number."""
        passed = self._beside.get(offered)
        if passed is None:
            behind = Reason("behind_another", {"part_number": offered[0] if offered else ""})
            fit_too = (each.product.part_number for each in self.products)
            rest = [PassedOver(number, behind) for number in fit_too if number not in offered]
            passed = self._beside[offered] = tuple(sorted([*self.passed_over, *rest], key=_part_number))
        return passed


FIT_SLOTS: Final = attrgetter(
    "family", "source", "keep_housing", "voltage", "damp_or_wet", "optic", "dark_sky", "size", "lamp_feet", "cri",
    "emergency_backup", "cct_k", "finish", "mount", "led_watts", "led_lumens",
)  # fmt: skip
"""All that `fitting` looks at of a line: two lines alike in these and in their target share one answer."""
Placed = tuple[tuple[Product, ...], tuple[PassedOver, ...]]
"""Of the products of a line's families those that fit the place, and why the others don't."""
Misfits = dict[tuple[Any, int], Placed]
"""The same by the line's `FIT_SLOTS` and how many wishes are waived."""
MOST_KEPT: Final = 1024


def fitting(
    line: StatedLine, target: Target, products: Sequence[Product], known: Misfits | None = None
) -> Fitting:
    """Which of ``products`` (all of the right family) fit the place and give the light.

    ``known`` keeps what does not hang on the target, for lines to come of the same catalogue.

    A soft wish (finish, mount, colour, CRI) that nothing meets is waived, last first, and the option then says so. Where
    nothing holds the present light at the places that count, delivered lumens are matched, and the options say what they keep.
    """
    if target.goal is not None and line.led_watts is None and line.led_lumens is None:
        found = _fitting(line, target, products, {} if known is None else known, by_light=True)
        if found.products:
            return found
    return _fitting(line, target, products, {} if known is None else known, by_light=False)


def _fitting(
    line: StatedLine, target: Target, products: Sequence[Product], known: Misfits, by_light: bool
) -> Fitting:
    waived = 0
    slots = FIT_SLOTS(line)
    while True:
        placed = known.get((slots, waived))
        if placed is None:
            if len(known) >= MOST_KEPT:
                known.clear()
            placed = known[(slots, waived)] = _placed(line, products, HARD + SOFT[: len(SOFT) - waived])
        fit: list[Product] = []
        passed = list(placed[1])
        for product in placed[0]:
            reason = _wrong_output(line, product, target, by_light)
            if reason is None:
                fit.append(product)
            else:
                passed.append(PassedOver(product.part_number, reason))
        if fit or waived == len(SOFT):
            passed.sort(key=_part_number)
            stocks = tuple(sorted({product.in_stock for product in fit}))
            return Fitting(_in_order(line, target, fit, by_light), tuple(passed), by_light, stocks)
        waived += 1


def _placed(line: StatedLine, products: Sequence[Product], checks: tuple[Check, ...]) -> Placed:
    fit: list[Product] = []
    passed: list[PassedOver] = []
    for product in products:
        reason = misfit(line, product, checks)
        if reason is None:
            fit.append(product)
        else:
            passed.append(PassedOver(product.part_number, reason))
    return tuple(fit), tuple(passed)


def _in_order(
    line: StatedLine, target: Target, products: Sequence[Product], by_light: bool
) -> tuple[Candidate, ...]:
    """``products`` with what their order rests on, in order."""
    # Full cutoff, dark-sky and battery variants cost more: first choice only where they were asked for.
    plain_first = not line.dark_sky and line.optic is None
    found = []
    for product in products:
        unwanted = plain_first and product.shielding not in (None, "standard")
        steps = int(_distance(line, product, target, by_light) / LIGHT_STEP)
        pieces = pieces_each(product, target)
        found.append(
            Candidate(
                product,
                matched_ratio(product, target, by_light),
                (int(product.family != line.family), steps, int(unwanted)),
                (product.net_price * pieces, product.part_number),
                product.input_watts * pieces,
                product.in_stock,
            )
        )
    found.sort(key=lambda each: (each.likeness, not each.product.rebate_listed, each.price))
    return tuple(found)


def _part_number(passed: PassedOver) -> str:
    return passed.part_number


def _wrong_output(line: StatedLine, product: Product, target: Target, by_light: bool) -> Reason | None:
    if line.led_watts is not None:
        off = abs(product.input_watts - line.led_watts) / line.led_watts
        if off > ASKED_WATTS_SHARE:
            return Reason("led_watts", {"wanted": line.led_watts, "offered": product.input_watts})
        return None
    if line.led_lumens is not None:
        off = abs(product.lumens - line.led_lumens) / line.led_lumens
        if off > ASKED_LUMENS_SHARE:
            return Reason("led_lumens", {"wanted": line.led_lumens, "offered": product.lumens})
        return None
    ratio = light_ratio(product, target)
    low, high = WORTH_LOOKING
    kept = None
    if by_light and ratio is not None and low <= ratio <= high:
        kept = held(product, target)
    if kept is not None:
        ratio = kept.ratio
    serves = kept is not None and target.goal is not None and target.goal.serves(kept)
    if ratio is not None and ratio < LEAST_RATIO and not serves:
        return at_place("too_dim", kept, target) or Reason("too_dim", {"percent": round(100 * ratio)})
    draws = product.input_watts * pieces_each(product, target)
    if target.input_watts is not None and draws >= target.input_watts * 0.95:
        return Reason("draws_as_much", {"input_watts": draws, "existing": target.input_watts})
    if ratio is not None and ratio > MOST_RATIO:
        return at_place("too_bright", kept, target) or Reason("too_bright", {"percent": round(100 * ratio)})
    return None


def at_place(key: str, kept: Held | None, target: Target) -> Reason | None:
    """``key`` said of the place that keeps least: the distance, the level after and the level before."""
    if kept is None or target.goal is None:
        return None
    place = (kept.spot.key, kept.distance_ft)
    return Reason(f"{key}_there", {"spot": place, "now": kept.before_fc, "then": kept.after_fc})


def _distance(line: StatedLine, product: Product, target: Target, by_light: bool) -> float:
    """How far from the wanted output, 0 at the very value."""
    if line.led_watts is not None:
        return abs(math.log(product.input_watts / line.led_watts))
    if line.led_lumens is not None:
        return abs(math.log(product.lumens / line.led_lumens))
    ratio = matched_ratio(product, target, by_light)
    if ratio is None:
        return 0.0
    away = math.log(ratio)
    # Falling short is felt, a little more is not: a shortfall below what the eye forgives counts double.
    return -2 * away if ratio < EQUAL_LOW else abs(away)

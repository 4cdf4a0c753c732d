"""The up to three products that are offered of those that fit: light first, then money.

The closest in light; then, where they differ, the cheapest, the one on the shelf, the one that draws least, a brighter one.
"""

from bisect import bisect_left
from collections.abc import Sequence
from decimal import Decimal
from typing import Final, Literal

from engine.catalog.product import Product
from engine.proposal import PassedOver, Reason
from engine.quantities import decimal
from engine.record import record
from engine.request import StatedLine
from engine.selection.fitting import (
    EQUAL_LOW,
    LEAST_RATIO,
    Candidate,
    Fitting,
    Target,
    at_place,
    held,
    light_ratio,
    pieces_each,
)
from engine.vocabulary import Control, Finish, Mount

Role = Literal["closest_light", "least_cost", "most_saving", "quickest", "brightest"]
WORTH_NAMING_PRICE: Final = 0.03
WORTH_NAMING_WATTS: Final = 0.08
WORTH_NAMING_LIGHT: Final = 1.12


@record
class Pick:
    """One product to offer, and how to order it."""

    product: Product
    role: Role
    reasons: tuple[Reason, ...]
    concerns: tuple[Reason, ...]
    cct_k: int
    finish: Finish | None
    mount: Mount | None
    pieces_each: int


@record
class Selection:
    """The picks, and why every other product of the family was passed over.

    Attributes:
        by_light: levels at places were matched; else delivered lumens, or what was asked for.
    """

    picks: tuple[Pick, ...]
    passed_over: tuple[PassedOver, ...]
    by_light: bool = False


@record
class Offer:
    """A pick but for its count: what is said of the stock is left out.

    Attributes:
        stock_at: so many of the reasons are said before that of the stock; concerns begin with it.
        in_stock: pieces on hand.
    """

    pick: Pick
    stock_at: int
    in_stock: int

    def of(self, qty: int, controls: Sequence[Control]) -> Pick:
        """The pick for ``qty`` luminaires, with ``controls`` asked for."""
        pick = self.pick
        product, on_hand, needed = pick.product, self.in_stock, qty * pick.pieces_each
        reasons, concerns = pick.reasons, pick.concerns
        if on_hand >= needed:
            in_stock = Reason("in_stock", {"pieces": on_hand, "qty": needed})
            reasons = (*reasons[: self.stock_at], in_stock, *reasons[self.stock_at :])
        elif on_hand:
            values = {"pieces": on_hand, "qty": needed, "lead_time_days": product.lead_time_days}
            concerns = (Reason("partial_stock", values), *concerns)
        apart = tuple([c for c in controls if c != "none" and c not in product.controls])
        if apart:
            concerns = (*concerns, Reason("control_separate", {"controls": apart}))
        return Pick(
            product,
            pick.role,
            reasons,
            concerns,
            pick.cct_k,
            pick.finish,
            pick.mount,
            pick.pieces_each,
        )


def choose(line: StatedLine, qty: int, target: Target, found: Fitting, first_only: bool = False) -> Selection:
    """Up to three of the products that fit, for ``qty`` luminaires, and why every other one was passed over.

    ``found`` is what fits lines alike in all that `fitting` looks at, with this target.
    """
    # what is offered hangs on the count only by which products have as many on hand
    situation = bisect_left(found.stocks, qty)
    offers: tuple[Offer, ...] | None = found.offers.get(situation)
    if offers is None:
        offers = found.offers[situation] = _offers(line, qty, target, found)
    picks = tuple([offer.of(qty, line.controls or ()) for offer in (offers[:1] if first_only else offers)])
    if first_only:
        return Selection(picks, (), found.by_light)
    offered = tuple([pick.product.part_number for pick in picks])
    return Selection(picks, found.passed_over_beside(offered), found.by_light)


def _offers(line: StatedLine, qty: int, target: Target, found: Fitting) -> tuple[Offer, ...]:
    fit, by_light = found.products, found.by_light
    if not fit:
        return ()

    def of_light(key: str, each: Candidate) -> Reason:
        there = at_place(key, held(each.product, target), target) if by_light else None
        return there or Reason(key, {"percent": None if each.light is None else round(100 * each.light)})

    alike = [each for each in fit if each.likeness == fit[0].likeness]
    best = min(alike, key=lambda each: each.shelf(qty))
    first = best.product
    lead = _asked_reason(line, first) or of_light("closest_light", best)
    offers = [_offer(line, target, first, "closest_light", lead)]

    def add(each: Candidate, role: Role, reason: Reason) -> None:
        if len(offers) < 3 and all(offer.pick.product is not each.product for offer in offers):
            offers.append(_offer(line, target, each.product, role, reason))

    rest = [each for each in fit if each is not best]
    if best.shelf(qty):
        ready = next((each for each in rest if each.in_stock >= qty), None)
        if ready is not None:
            add(ready, "quickest", Reason("quickest", {"pieces": ready.in_stock}))
    if not rest:
        return tuple(offers)
    cheapest = min(rest, key=_price)
    gap = first.net_price - cheapest.product.net_price
    if gap >= first.net_price * decimal(WORTH_NAMING_PRICE):
        saves = {"unit_price": cheapest.product.net_price, "saves": gap}
        add(cheapest, "least_cost", Reason("least_cost", saves))
    leanest = min(rest, key=_watts)
    less = (first.input_watts - leanest.product.input_watts) * pieces_each(first, target)
    if less >= WORTH_NAMING_WATTS * first.input_watts and (
        leanest.light is None or leanest.light >= LEAST_RATIO
    ):
        draws = {"input_watts": leanest.product.input_watts, "watts_less": round(less, 1)}
        add(leanest, "most_saving", Reason("most_saving", draws))
    if best.light is not None:
        wanted = best.light * WORTH_NAMING_LIGHT
        brighter = [each for each in rest if each.light is not None and each.light >= wanted]
        if brighter:
            step_up = min(
                brighter,
                key=lambda each: (each.light or 0.0, each.likeness[2], each.shelf(qty), each.price),
            )
            add(step_up, "brightest", of_light("brightest", step_up))
    return tuple(offers)


def _watts(each: Candidate) -> tuple[float, tuple[Decimal, str]]:
    return each.watts, each.price


def _price(each: Candidate) -> tuple[Decimal, str]:
    return each.price


def _asked_reason(line: StatedLine, product: Product) -> Reason | None:
    if line.led_watts is not None:
        return Reason("asked_watts", {"led_watts": line.led_watts, "input_watts": product.input_watts})
    if line.led_lumens is not None:
        return Reason("asked_lumens", {"led_lumens": line.led_lumens, "lumens": product.lumens})
    return None


def _offer(line: StatedLine, target: Target, product: Product, role: Role, lead: Reason) -> Offer:
    reasons = [lead]
    concerns: list[Reason] = []
    kept = held(product, target)
    ratio = light_ratio(product, target) if kept is None else kept.ratio
    if (at := at_place("light", kept, target)) is not None and lead.values.keys() != at.values.keys():
        reasons.append(at)
    if kept is not None and target.goal is not None and target.goal.reaches(kept):
        reasons.append(Reason("meets_level", {"level": target.goal.asked_fc}))
    stock_at, in_stock = len(reasons), product.in_stock
    if not in_stock:
        concerns.append(Reason("not_in_stock", {"lead_time_days": product.lead_time_days}))
    if product.rebate_listed:
        reasons.append(Reason("rebate_listed", {}))
    else:
        concerns.append(Reason("not_rebate_listed", {}))
    if line.dark_sky and product.dark_sky:
        reasons.append(Reason("dark_sky", {}))
    if product.shielding == "full_cutoff" and (line.optic == "full_cutoff" or role != "closest_light"):
        reasons.append(Reason("full_cutoff", {}))
    there = "" if kept is None else "_there"
    if ratio is not None and ratio < EQUAL_LOW:
        concerns.append(Reason(f"less_light{there}", {"percent": round(100 * ratio)}))
    if ratio is not None and ratio > 1.25:
        concerns.append(Reason(f"more_light{there}", {"percent": round(100 * ratio)}))
    cct_k, cct_open = _colour(line, product)
    if cct_open:
        concerns.append(Reason("cct_to_choose", {"ccts": product.cct_k}))
    finish = (
        line.finish
        if line.finish in product.finishes
        else (product.finishes[0] if product.finishes else None)
    )
    if line.finish is not None and product.finishes and line.finish not in product.finishes:
        concerns.append(Reason("finish_to_choose", {"finishes": product.finishes}))
    mount = line.mount if line.mount in product.mounts else (product.mounts[0] if product.mounts else None)
    if line.mount is not None and product.mounts and line.mount not in product.mounts:
        concerns.append(Reason("mount_not_listed", {"mount": line.mount}))
    pieces = pieces_each(product, target)
    pick = Pick(product, role, tuple(reasons), tuple(concerns), cct_k, finish, mount, pieces)
    return Offer(pick, stock_at, in_stock)


def _colour(line: StatedLine, product: Product) -> tuple[int, bool]:
    """The colour temperature to order [K], and whether a wish for it could not be met."""
    wanted = line.cct_k or (3000 if line.dark_sky else 4000)
    nearest = min(product.cct_k, key=lambda k: (abs(k - wanted), k))
    return nearest, line.cct_k is not None and nearest != line.cct_k

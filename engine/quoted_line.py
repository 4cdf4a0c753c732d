"""One line of a quote: what was said is completed, products are chosen, figures are computed for each."""

from collections.abc import Mapping, Sequence
from dataclasses import field, replace
from functools import partial
from operator import attrgetter
from typing import Final, Literal

from engine.catalog.catalogue import Catalogue
from engine.catalog.product import Kind, Product
from engine.energy.carbon import carbon_saved
from engine.energy.controls import ControlsOfJob
from engine.energy.interactive import Interactive, fuel_saved, net_kwh_saved
from engine.existing import Completed, Supposed, complete, with_own_light
from engine.figure import Figure, LaterFigures, assumed, stated
from engine.job import JobFacts
from engine.known import Known
from engine.light.before_after import BeforeAfter, Side, before_after, side_after, side_before
from engine.light.photometry import Photometry
from engine.light.scene import Scene, scene_of
from engine.line_figures import LineInputs, energy_figures, light_figures, payback_figures
from engine.line_money import LineMoney, MoneyFacts, line_money
from engine.product_figures import ProductFigures, product_figures
from engine.proposal import Existing, Option, QuoteLine, Reason
from engine.record import record
from engine.request import StatedLine
from engine.selection.choose import Pick, Selection, choose
from engine.selection.fit import families_for
from engine.selection.fitting import FIT_SLOTS, Fitting, Target, fitting, held
from engine.selection.light_goal import light_goal
from engine.tables.miss import NoSuchRow
from engine.vocabulary import Family


@record
class MadeLine:
    """A line of the quote with what the job needs to know of it; ``money`` is of the chosen option."""

    line: QuoteLine
    supposed: tuple[Supposed, ...] = ()
    money: LineMoney | None = None
    notes: tuple[Reason, ...] = ()


PresentLight = tuple[Scene, Side]

_NOT_LOOKED_AT: Final = {"qty": None, "price_now": None}
_FOUND_BY: Final = attrgetter(*(slot for slot in StatedLine.model_fields if slot not in _NOT_LOOKED_AT))
"""All that completing a line and finding what fits it look at: neither its count nor what is paid for it today."""


@record
class NewLight:
    """The light of a product on a line, whatever the count.

    Attributes:
        figures: delivered lumens, and their ratio to the useful ones that are there now.
        ratio: the same ratio as an option tells it, a figure of its own.
        before_after: beside the present light; ``None`` where either side's distribution is not known.
    """

    figures: Mapping[str, Figure]
    ratio: Figure | None
    before_after: BeforeAfter | None


@record
class Found:
    """What hangs there and what could take its place, whatever the count.

    Attributes:
        done: completed. ``present``: how it hangs and its light; ``None`` where either is not known.
        target: what the new luminaire has to deliver. ``fitting``: the products that do.
        own: the own figures of those that were offered so far, by part number and pieces a luminaire. ``lit``: their light.
    """

    done: Completed
    present: PresentLight | None
    target: Target
    fitting: Fitting
    own: dict[tuple[str, int], ProductFigures] = field(default_factory=dict)
    lit: dict[tuple[str, int], NewLight] = field(default_factory=dict)


@record
class LineMaker:
    """Makes the lines of one quote.

    Attributes:
        known: what was found out for lines before.
        carbon: carbon dioxide of a MWh [lb/MWh].
        hvac: what saved lighting changes in cooling and heating; ``None`` where the building is not known.
        own_light: by index of the line, the user's own photometric file of what hangs there now, type C.
        asked_fc: the light level that was asked for [fc]; ``None`` where none was.
    """

    facts: JobFacts
    money: MoneyFacts
    catalogue: Catalogue
    known: Known
    controls: ControlsOfJob
    carbon: Figure
    hvac: Interactive | None
    own_light: Mapping[int, Photometry] = field(default_factory=dict)
    asked_fc: float | None = None

    def make(self, index: int, said: StatedLine, first_only: bool = False) -> MadeLine:
        """The line, what had to be supposed about what hangs there, and its money.

        Args:
            index: of the line in the request.
            said: what was stated of it.
            first_only: only the first option with what the payback needs of it (to try "what if").
        """
        if said.family is None:
            return MadeLine(_without(index, said, Reason("family_unknown", {})))
        if said.family == "exit":
            return MadeLine(_without(index, said, Reason("needs_person", {"family": "exit"})))
        found = self._found(index, said, said.family)
        done, target = found.done, found.target
        if done.problem is not None:
            return MadeLine(_without(index, said, done.problem, done.existing), done.supposed)
        qty = _qty(index, said)
        selection = choose(done.line, qty.value, target, found.fitting, first_only)
        if not selection.picks:
            line = _without(index, said, _nothing_fits(done.line, selection), done.existing)
            return MadeLine(replace(line, passed_over=selection.passed_over), done.supposed)
        controls = self.controls.of(said.controls or (), done.facts.environment)
        hours = self.facts.hours.of(said.family)
        price = self.facts.price.of(said.family, hours)
        inputs = LineInputs(
            prefix=f"lines.{index}",
            qty=qty,
            price_now=said.price_now,
            hours_per_year=hours,
            rate_per_kwh=price.rate_per_kwh,
            existing=done.existing,
            useful_lumens=done.useful_lumens,
            led_depreciation=done.led_depreciation,
            led_dirt_depreciation=done.led_dirt_depreciation,
            control_savings=controls.figure,
            demand_usd_per_kw_year=price.demand_usd_per_kw_year,
        )
        if first_only:
            return self._first_alone(index, said, selection.picks[0], inputs, found)
        lit = [self._lit(pick, inputs, found) for pick in selection.picks]
        figures, money = self._figures(selection.picks[0], inputs, found, lit[0])
        options = tuple(
            [
                _option(
                    pick,
                    figures
                    if n == 0
                    else LaterFigures(partial(self._figures_alone, pick, inputs, found, light)),
                    light.ratio,
                )
                for n, (pick, light) in enumerate(zip(selection.picks, lit, strict=True))
            ]
        )
        line = QuoteLine(
            index,
            said,
            done.existing,
            options,
            0,
            selection.passed_over,
            figures,
            matched_by=_matched_by(done.line, target, selection),
            light=lit[0].before_after,
        )
        return MadeLine(line, done.supposed, money, (*price.notes, *controls.notes))

    def _first_alone(
        self, index: int, said: StatedLine, pick: Pick, inputs: LineInputs, found: Found
    ) -> MadeLine:
        done, own = found.done, self._own(pick, inputs, found)
        figures = energy_figures(inputs, own.input_watts)
        money = line_money(inputs, done, figures, pick.product, own, self.money, like_for_like=False)
        figures |= money.figures
        option = _option(pick, figures, None)
        return MadeLine(
            QuoteLine(index, said, done.existing, (option,), 0, (), figures), done.supposed, money
        )

    def _found(self, index: int, said: StatedLine, family: Family) -> Found:
        """What was found for a line: it is the same for any count, and mostly that of an earlier quote."""
        own = self.own_light.get(index)
        if own is not None:
            return self._find(index, said, family, own)
        return self.known.get(
            "lines",
            (index, self.asked_fc, _FOUND_BY(said)),
            lambda: self._find(index, said.model_copy(update=_NOT_LOOKED_AT), family, None),
        )

    def _find(self, index: int, said: StatedLine, family: Family, own: Photometry | None) -> Found:
        lookups = self.known.lookups
        done = complete(index, said, family, lookups)
        if own is not None:
            done = with_own_light(done, own, f"lines.{index}.photometry", lookups)
        present = None if done.problem is not None else self._present_light(index, done, own)
        target = self._target(done, present)
        if done.problem is not None:
            return Found(done, present, target, Fitting((), ()))
        key = (FIT_SLOTS(done.line), target)
        target, fits = self.known.get(
            "fits",
            key,
            lambda: (target, fitting(done.line, target, self._candidates(done.line), self.catalogue.misfits)),
        )
        return Found(done, present, target, fits)

    def _present_light(self, index: int, done: Completed, own: Photometry | None) -> PresentLight | None:
        """Where the line's luminaires hang and what light they give now; ``None`` where either is not known."""
        existing = done.existing
        if existing is None or existing.delivered_lumens is None:
            return None
        tables = self.known.tables
        scene = scene_of(index, done.line, self._lamp_lumens(existing), tables)
        before = side_before(
            existing.family, existing.source, done.line.optic, existing.delivered_lumens, tables, own
        )
        return None if scene is None or before is None else (scene, before)

    def _lamp_lumens(self, existing: Existing) -> float | None:
        """Initial lumens of all lamps of one luminaire [lm]."""
        if existing.source is None or existing.lamp_watts is None:
            return None
        row = self.known.lookups.lamp(existing.source, existing.lamp_watts, existing.lamp_feet)
        return None if isinstance(row, NoSuchRow) else row.initial_lumens * existing.lamps

    def _own(self, pick: Pick, inputs: LineInputs, found: Found) -> ProductFigures:
        key = (pick.product.part_number, pick.pieces_each)
        own = found.own.get(key)
        if own is None:
            own = found.own[key] = product_figures(
                inputs.prefix, found.done, pick.product, pick.pieces_each, self.catalogue
            )
        return own

    def _lit(self, pick: Pick, inputs: LineInputs, found: Found) -> NewLight:
        """The light with ``pick``, the same figures for every quote of such a line."""
        product, pieces = pick.product, pick.pieces_each
        key = (product.part_number, pieces)
        lit = found.lit.get(key)
        if lit is None:
            figures = light_figures(inputs, product, pieces)
            ratio = light_figures(inputs, product, pieces).get("light_ratio")
            light = None
            photometry = None if found.present is None else self.catalogue.photometry_of(product)
            if found.present is not None and photometry is not None:
                after = side_after(photometry, figures["delivered_lumens_after"], product.part_number)
                light = before_after(*found.present, after)
            lit = found.lit[key] = NewLight(figures, ratio, light)
        return lit

    def _target(self, done: Completed, present: PresentLight | None) -> Target:
        existing = done.existing
        return Target(
            useful_lumens=None if done.useful_lumens is None else done.useful_lumens.value,
            led_light_loss=done.led_depreciation.value * done.led_dirt_depreciation.value,
            input_watts=None
            if existing is None or existing.input_watts is None
            else existing.input_watts.value,
            lamps=1 if existing is None else existing.lamps,
            goal=None
            if present is None
            else light_goal(*present, self.catalogue.photometry_of, self.asked_fc),
        )

    def _side_effects(self, figures: Mapping[str, Figure], environment: str) -> dict[str, Figure]:
        """What the saved energy does beside the bill: carbon, and indoors in a known building what heating and cooling change."""
        saved = figures.get("kwh_saved_per_year")
        if saved is None:
            return {}
        out = {"carbon_saved_lb_per_year": carbon_saved(saved, self.carbon)}
        factors = self.hvac if environment == "interior" else None
        if factors is not None:
            out["net_kwh_saved_per_year"] = net_kwh_saved(saved, factors)
            fuel = fuel_saved(saved, factors)
            if fuel is not None:
                out["fuel_saved_therms_per_year"] = fuel
        return out

    def _candidates(self, line: StatedLine) -> Sequence[Product]:
        kinds: tuple[Kind, ...] = ("retrofit_kit", "lamp") if line.keep_housing else ("luminaire",)
        if line.family is None:
            return ()
        return tuple(
            product
            for kind in kinds
            for family in families_for(line.family)
            for product in self.catalogue.of_kind(kind, family)
        )

    def _figures(
        self, pick: Pick, inputs: LineInputs, found: Found, lit: NewLight
    ) -> tuple[dict[str, Figure], LineMoney]:
        """Every figure of the line with ``pick`` on it."""
        done, own = found.done, self._own(pick, inputs, found)
        figures = energy_figures(inputs, own.input_watts)
        figures |= lit.figures
        figures |= self._side_effects(figures, done.facts.environment)
        money = line_money(inputs, done, figures, pick.product, own, self.money)
        figures |= money.figures
        figures |= payback_figures(figures)
        if lit.before_after is not None:
            figures |= lit.before_after.figures
        return figures, money

    def _figures_alone(
        self, pick: Pick, inputs: LineInputs, found: Found, lit: NewLight
    ) -> Mapping[str, Figure]:
        return self._figures(pick, inputs, found, lit)[0]


def _option(pick: Pick, figures: Mapping[str, Figure], light_ratio: Figure | None) -> Option:
    return Option(
        product=pick.product,
        role=pick.role,
        reasons=pick.reasons,
        concerns=pick.concerns,
        pieces_each=pick.pieces_each,
        cct_k=pick.cct_k,
        finish=pick.finish,
        mount=pick.mount,
        light_ratio=light_ratio,
        figures=figures,
    )


def _without(index: int, said: StatedLine, problem: Reason, existing: Existing | None = None) -> QuoteLine:
    return QuoteLine(index, said, existing, (), None, (), {}, problem)


def _matched_by(
    line: StatedLine, target: Target, selection: Selection
) -> Literal["light", "lumens", "asked"] | None:
    if line.led_watts is not None or line.led_lumens is not None:
        return "asked"
    if selection.by_light:
        return "light" if held(selection.picks[0].product, target) is not None else "lumens"
    return None if target.useful_lumens is None else "lumens"


def _qty(index: int, said: StatedLine) -> Figure:
    if said.qty is not None:
        return stated("qty", said.qty, "1", f"lines.{index}.qty")
    return assumed("qty", 1, "1", 1, 1, "no count was given: priced for one", f"lines.{index}.qty")


def _nothing_fits(line: StatedLine, selection: Selection) -> Reason:
    """The near miss: the product that fails only one thing that a person might waive, and what it lacks."""
    order: tuple[str, ...] = (
        "finish",
        "mount",
        "cct",
        "cri",
        "optic",
        "dark_sky",
        "emergency_backup",
        "voltage",
        "size",
    )
    if line.voltage is None:
        # A supply that nobody named is no reason that a person could act on.
        order = tuple(key for key in order if key != "voltage")
    ranked = sorted(
        selection.passed_over,
        key=lambda p: (order.index(p.reason.key) if p.reason.key in order else len(order), p.part_number),
    )
    nearest = ranked[0] if ranked else None
    return Reason(
        "nothing_fits",
        {
            "family": line.family,
            "nearest": nearest.part_number if nearest else "",
            "lacks": nearest.reason.key if nearest else "",
        },
    )

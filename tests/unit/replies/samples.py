"""Hand-made quotes in the engine's shapes, for tests of the words only; the figures are worked out here, not by the engine."""

from dataclasses import replace
from decimal import Decimal
from functools import cache
from typing import Any

from bot.assistant import Assistant, Conversation
from bot.opening import open_assistant
from bot.reading.shape import Doubt, Fault, Reading
from bot.settings import load_settings
from engine.catalog.product import Product
from engine.figure import Figure, assumed, catalogued, defined, derive, in_order, looked_up, stated, total
from engine.light.before_after import before_after, side_after, side_before
from engine.light.scene import scene_of
from engine.proposal import (
    Assumption,
    Caution,
    Existing,
    Option,
    PassedOver,
    Question,
    Quote,
    QuoteLine,
    Reason,
    Spread,
    Swing,
)
from engine.request import Place, Request, StatedHours, StatedJob, StatedLine
from engine.tables import load_tables
from engine.vocabulary import Family, LampSource

TEXT = "twelve 250W wallpacks at 20 ft, $0.11/kWh, dusk-to-dawn"


def product(
    part_number: str = "SAMPLE/50", watts: float = 50, lumens: float = 7000, **changes: Any
) -> Product:
    fields: dict[str, Any] = {
        "part_number": part_number,
        "description": f"Sample LED wall pack, {watts:g} W, {lumens:,.0f} lm",
        "maker": "Plover Hollow Lighting",
        "kind": "luminaire",
        "family": "wall_pack",
        "series": "Sample",
        "shielding": "full_cutoff",
        "input_watts": watts,
        "lumens": lumens,
        "efficacy_lm_per_w": round(lumens / watts, 1),
        "cct_k": (3000, 4000, 5000),
        "cri": 70,
        "voltage": "120-277",
        "mounts": ("wall",),
        "finishes": ("bronze", "black"),
        "wet_rating": "wet",
        "controls": ("photocell",),
        "safety_listing": "NRTL listed, wet locations",
        "l70_hours": 100_000,
        "surge_kv": 6,
        "ambient_low_c": -40,
        "ambient_high_c": 40,
        "lm79": "S79-1",
        "lm80": "S80-1",
        "warranty_years": 5,
        "weight_lb": 9.5,
        "list_price": Decimal("240.00"),
        "net_price": Decimal("130.00"),
        "stock": (("Harbor", 8), ("Mill", 14)),
        "lead_time_days": 10,
        "rebate_listed": True,
    }
    return Product.model_validate(fields | changes)


def line_figures(
    index: int, qty: int, chosen: Product, before: Figure, hours: Figure, rate: Figure
) -> dict[str, Figure]:
    figures: dict[str, Figure] = {}

    def keep(figure: Figure) -> Figure:
        figures[figure.name] = figure
        return figure

    thousand = defined("watts_per_kilowatt", 1000, "1", "1 kW is 1,000 W")
    count = keep(stated("qty", qty, "1", f"lines.{index}.qty"))
    keep(hours)
    keep(before)
    after = keep(catalogued("input_watts_after", chosen.input_watts, "W", chosen.part_number))
    price = keep(catalogued("unit_price", chosen.net_price, "USD", chosen.part_number))
    kw_before = keep(
        derive("kw_before", "kW", "qty * input_watts_before / watts_per_kilowatt", count, before, thousand)
    )
    kw_after = keep(
        derive("kw_after", "kW", "qty * input_watts_after / watts_per_kilowatt", count, after, thousand)
    )
    kw_saved = keep(derive("kw_saved", "kW", "kw_before - kw_after", kw_before, kw_after))
    keep(derive("kwh_before_per_year", "kWh/yr", "kw_before * hours_per_year", kw_before, hours))
    keep(derive("kwh_after_per_year", "kWh/yr", "kw_after * hours_per_year", kw_after, hours))
    kwh = keep(derive("kwh_saved_per_year", "kWh/yr", "kw_saved * hours_per_year", kw_saved, hours))
    energy = keep(
        derive("energy_cost_saved_per_year", "USD/yr", "kwh_saved_per_year * rate_per_kwh", kwh, rate)
    )
    each = looked_up(
        "upkeep_each",
        Decimal("21.50"),
        "USD/yr",
        "lamps and ballasts, common practice, no source",
        "maintenance_costs MH 250 W",
        Decimal("12"),
        Decimal("35"),
    )
    upkeep = keep(derive("maintenance_saved_per_year", "USD/yr", "qty * upkeep_each", count, each))
    saved = keep(
        derive(
            "saved_per_year",
            "USD/yr",
            "energy_cost_saved_per_year + maintenance_saved_per_year",
            energy,
            upkeep,
        )
    )
    goods = keep(derive("product_cost", "USD", "qty * unit_price", count, price))
    labor_each = assumed(
        "labor_per_luminaire",
        Decimal("95.00"),
        "USD",
        Decimal("60.00"),
        Decimal("140.00"),
        "one electrician's hour; common practice, no source",
        "job.labor_per_luminaire",
    )
    labor = keep(derive("labor_cost", "USD", "qty * labor_per_luminaire", count, labor_each))
    cost = keep(derive("project_cost", "USD", "product_cost + labor_cost", goods, labor))
    rebate = keep(defined("rebate", Decimal("0.00"), "USD", "none stated"))
    net = keep(derive("net_cost", "USD", "project_cost - rebate", cost, rebate))
    keep(derive("simple_payback_years", "yr", "net_cost / saved_per_year", net, saved))
    alike = keep(
        looked_up(
            "like_for_like_cost",
            Decimal("1800.00"),
            "USD",
            "market price of a new one of the present kind",
            "like_for_like MH 250 W",
        )
    )
    extra = keep(derive("premium_cost", "USD", "product_cost - like_for_like_cost", goods, alike))
    keep(derive("premium_payback_years", "yr", "greatest(premium_cost, 0) / saved_per_year", extra, saved))
    return figures


TOTALS = {
    "qty": "1",
    "kwh_before_per_year": "kWh/yr",
    "kwh_after_per_year": "kWh/yr",
    "kwh_saved_per_year": "kWh/yr",
    "kw_saved": "kW",
    "energy_cost_saved_per_year": "USD/yr",
    "maintenance_saved_per_year": "USD/yr",
    "saved_per_year": "USD/yr",
    "project_cost": "USD",
    "rebate": "USD",
    "net_cost": "USD",
    "premium_cost": "USD",
}


def totals_of(lines: tuple[QuoteLine, ...]) -> dict[str, Figure]:
    priced = [line.figures for line in lines if line.chosen is not None]
    if not priced:
        return {}
    out = {name: total(name, unit, [f[name] for f in priced]) for name, unit in TOTALS.items()}
    out["simple_payback_years"] = derive(
        "simple_payback_years", "yr", "net_cost / saved_per_year", out["net_cost"], out["saved_per_year"]
    )
    out["premium_payback_years"] = derive(
        "premium_payback_years",
        "yr",
        "premium_cost / saved_per_year",
        out["premium_cost"],
        out["saved_per_year"],
    )
    return out


def wall_pack_line(index: int = 0, qty: int = 12, **slots: Any) -> QuoteLine:
    said = StatedLine(**({"qty": qty, "family": "wall_pack", "watts": 250, "height_ft": 20} | slots))
    before = looked_up(
        "input_watts_before",
        295.0,
        "W",
        "state technical manuals and tariffs, five sources",
        "system_watts MH 250 W with CWA ballast",
        285.0,
        304.0,
    )
    hours = assumed(
        "hours_per_year", 4300.0, "h/yr", 3900.0, 4380.0, "dusk to dawn, place unknown", "job.schedule"
    )
    rate = stated("rate_per_kwh", Decimal("0.11"), "USD/kWh", "job.rate_per_kwh")
    first, second = (
        product(),
        product(
            "SAMPLE/45E", 45, 6200, net_price=Decimal("118.00"), stock=(("Harbor", 5),), rebate_listed=False
        ),
    )
    figures = line_figures(index, qty, first, before, hours, rate)
    ratio = looked_up("light_ratio", 1.02, "1", "worked by hand", "")
    options = (
        Option(
            first,
            "closest_light",
            (
                Reason("closest_light", {"percent": 102}),
                Reason("in_stock", {"pieces": 22, "qty": qty}),
                Reason("rebate_listed", {}),
            ),
            (),
            1,
            4000,
            "bronze",
            "wall",
            ratio,
            figures,
        ),
        Option(
            second,
            "least_cost",
            (Reason("least_cost", {"unit_price": Decimal("118.00"), "saves": Decimal("12.00")}),),
            (
                Reason("partial_stock", {"pieces": 5, "qty": qty, "lead_time_days": 10}),
                Reason("less_light", {"percent": 91}),
            ),
            1,
            4000,
            "bronze",
            "wall",
            None,
            line_figures(index, qty, second, before, hours, rate),
        ),
    )
    existing = Existing("wall_pack", "MH", 250, 1, None, "CWA", True, before, None)
    passed = (PassedOver("SAMPLE/30", Reason("too_dim", {"percent": 55})),)
    return QuoteLine(index, said, existing, options, 0, passed, figures, matched_by="lumens")


def wall_packs(**job: Any) -> tuple[Quote, Reading]:
    """Twelve 250 W wall packs: the plain quote."""
    line = wall_pack_line()
    labor = next(f for f in in_order(line.figures.values()) if f.name == "labor_per_luminaire")
    request = Request(
        job=StatedJob(**({"rate_per_kwh": 0.11, "schedule": "dusk_to_dawn"} | job)), lines=(line.stated,)
    )
    quote = Quote(
        request=request,
        lines=(line,),
        totals=totals_of((line,)),
        hours_per_year=line.figures["hours_per_year"],
        assumptions=(
            Assumption(
                "lines.0.source",
                "MH",
                None,
                None,
                "",
                "the lamp such a wall pack usually holds; common practice, no source",
                ("HPS",),
                0.2,
            ),
            Assumption(
                "job.schedule",
                4300.0,
                3900.0,
                4380.0,
                "h/yr",
                "dusk to dawn, place unknown (defaults.csv: dusk_to_dawn_hours)",
                (),
                0.3,
            ),
            Assumption(
                "job.labor_per_luminaire",
                Decimal("95.00"),
                Decimal("60.00"),
                Decimal("140.00"),
                "USD",
                "one electrician's hour; common practice, no source",
                (),
                0.6,
            ),
        ),
        spreads={
            "simple_payback_years": Spread(1.65, 1.3, 2.1),
            "premium_payback_years": Spread(-0.1, -0.2, 0.2),
            "saved_per_year": Spread(1600, 1400, 1800),
        },
        swings=(
            Swing("labor", labor, 1.4, 2.0),
            Swing("hours", line.figures["hours_per_year"], 1.8, 1.6),
        ),
        notes=(
            Reason("freight_not_included", {}),
            Reason("over_budget", {"budget": Decimal("2000"), "cost": Decimal("2700")}),
        ),
        life_cycle=None,
        cash_band=(),
        questions=(
            Question("lines.0.source", ("MH", "HPS"), 0.2, True),
            Question("job.labor_per_luminaire", (), 0.6, False),
            Question("job.place", (), 0.1, False),
        ),
        cautions=tuple(
            Caution(k) for k in ("licensed_work", "listed_equipment", "lockout", "savings_are_estimates")
        )
        + tuple(Caution(k, (0,)) for k in ("voltage_check", "wet_location", "height", "mercury")),
        stop=None,
        catalog_version="c-1234",
        tables_version="t-5678",
    )
    reading = Reading("quote", request.job, request.lines, {"lines.0.qty": (0, 0, 6)})
    return quote, reading


def two_lines() -> tuple[Quote, Reading]:
    """Wall packs with a doubt, and a line that nothing fits."""
    quote, reading = wall_packs(place=Place(city="Toledo", state="OH"), customer="Maple Ridge Church")
    said = StatedLine(
        qty=8, family="area", source="MH", watts=400, height_ft=25, voltage=480, finish="bronze"
    )
    problem = Reason("nothing_fits", {"family": "area", "nearest": "SAMPLE/120", "lacks": "voltage"})
    bare = QuoteLine(1, said, None, (), None, (), {}, problem)
    request = Request(job=quote.request.job, lines=(quote.lines[0].stated, said))
    doubt = Doubt("lines.0.qty", 12, (10,), "a range of counts")
    reading = replace(reading, lines=request.lines, doubts=(doubt,), unread=((0, 0, 4),))
    return replace(quote, request=request, lines=(quote.lines[0], bare)), reading


def never_pays() -> tuple[Quote, Reading]:
    """Saving nothing: no payback figure at all."""
    quote, reading = wall_packs()
    zero = defined("saved_per_year", Decimal("0.00"), "USD/yr", "worked by hand")
    totals = {k: v for k, v in quote.totals.items() if not k.endswith("payback_years")} | {
        "saved_per_year": zero
    }
    return replace(quote, totals=totals, spreads={}), reading


def many_lines(count: int) -> tuple[Quote, Reading]:
    """An audit of ``count`` lines."""
    quote, reading = wall_packs()
    lines = tuple(wall_pack_line(i, 2 + i) for i in range(count))
    request = Request(job=quote.request.job, lines=tuple(line.stated for line in lines))
    guessed = tuple(replace(quote.assumptions[0], path=f"lines.{i}.source") for i in range(count))
    quote = replace(
        quote,
        request=request,
        lines=lines,
        totals=totals_of(lines),
        assumptions=guessed + quote.assumptions[1:],
    )
    return quote, replace(reading, lines=request.lines)


def stopped(key: str) -> tuple[Quote, Reading]:
    """A job that a person must take over."""
    quote, reading = wall_packs()
    bare = tuple(QuoteLine(line.index, line.stated, None, (), None, (), {}) for line in quote.lines)
    quote = replace(
        quote,
        lines=bare,
        totals={},
        hours_per_year=None,
        assumptions=(),
        spreads={},
        questions=(),
        stop=Reason(key, {}),
    )
    return quote, replace(reading, intent="handoff", reason=key)


def hostile() -> tuple[Quote, Reading]:
    """Text from a stranger who would like to break the page."""
    evil = "<script>alert(1)</script>{{ 7*191 }}{% if x %}"
    quote, reading = wall_packs(
        customer=evil,
        site="\u202egnp.exe\u202c \x00\x1b[31m" + "A\u0301\u0301\u0301\u0301\u0301" * 3,
        po='"><img src=x onerror=alert(1)>',
        needed_by="x" * 80,
    )
    text = f"{TEXT} <b>99</b>{{{{ config }}}}"
    return quote, replace(
        reading,
        unread=((0, len(TEXT), len(text)),),
        faults=(Fault("lines.0.qty", (0, 0, 3), f"zero {evil}"),),
    )


def indoor() -> tuple[Quote, Reading]:
    """Troffers on office hours, with a figure of each kind stated."""
    quote, reading = wall_packs()
    said = StatedLine(qty=36, family="troffer", source="T8", lamps=4, size="2x4")
    line = replace(quote.lines[0], stated=said)
    job = StatedJob(
        rate_per_kwh=0.13,
        schedule=StatedHours(hours_per_day=11, days_per_week=5),
        metric=True,
        place=Place(zip="44114"),
    )
    request = Request(job=job, lines=(said,))
    return replace(quote, request=request, lines=(line,)), replace(reading, job=job, lines=(said,))


def led_asked_for() -> tuple[Quote, Reading]:
    """LED asked for, nothing said of what hangs there: a price and no saving."""
    quote, reading = wall_packs()
    kept = ("qty", "project_cost", "rebate", "net_cost")
    line = replace(quote.lines[0], stated=StatedLine(qty=12, family="wall_pack", led_watts=50), existing=None)
    return replace(
        quote,
        lines=(line,),
        totals={k: quote.totals[k] for k in kept},
        spreads={},
        assumptions=(),
        questions=(),
    ), replace(reading, lines=(line.stated,))


def rebate_covers_all() -> tuple[Quote, Reading]:
    """Nothing left to pay."""
    quote, reading = wall_packs(rebate_per_luminaire=400)
    zero = defined("net_cost", Decimal("0.00"), "USD", "worked by hand")
    payback = derive(
        "simple_payback_years", "yr", "net_cost / saved_per_year", zero, quote.totals["saved_per_year"]
    )
    totals = dict(quote.totals) | {"net_cost": zero, "simple_payback_years": payback}
    return replace(quote, totals=totals, spreads={}), reading


def problem_line(key: str, **values: Any) -> tuple[Quote, Reading]:
    """One line that nothing can be offered for."""
    quote, reading = wall_packs()
    line = replace(
        quote.lines[0], existing=None, options=(), chosen=None, figures={}, problem=Reason(key, values)
    )
    return replace(quote, lines=(line,), totals={}, spreads={}, assumptions=(), questions=()), reading


def by_light(family: Family, source: LampSource, **slots: Any) -> tuple[Quote, Reading]:
    """The first line with the light of both sides: generic shapes before and after, one a form of the other."""
    quote, reading = wall_packs()
    tables = load_tables()
    said = replace_slots(quote.lines[0].stated, family=family, source=source, **slots)
    scene = scene_of(0, said, 20_500.0, tables)
    before = side_before(
        family, source, None, looked_up("delivered_lumens_before", 7550.0, "lm", "worked by hand", ""), tables
    )
    assert scene is not None
    assert before is not None
    after = catalogued("delivered_lumens_after", 6000.0, "lm", "SAMPLE/50")
    new = replace(before.photometry, name="SAMPLE-50.ies")
    light = before_after(scene, before, side_after(new, after, "SAMPLE/50"))
    spot = (light.limiting.key, light.distance_ft(light.limiting))
    reasons = (Reason("closest_light_there", {"spot": spot, "now": 0.5, "then": 0.4}),)
    first = replace(
        quote.lines[0].options[0], reasons=reasons, concerns=(Reason("less_light_there", {"percent": 80}),)
    )
    line = replace(
        quote.lines[0],
        stated=said,
        options=(first,),
        figures=dict(quote.lines[0].figures) | dict(light.figures),
        light=light,
        matched_by="light",
    )
    request = Request(job=quote.request.job, lines=(said,))
    return replace(quote, request=request, lines=(line,)), replace(reading, lines=(said,))


def replace_slots(line: StatedLine, **slots: Any) -> StatedLine:
    """The line with some slots said otherwise; ``None`` takes one back."""
    return line.model_copy(update=slots)


def asked(intent: Any) -> tuple[Quote, Reading]:
    """The wall packs, and a message that asks for something else than a price."""
    quote, reading = wall_packs()
    return quote, replace(reading, intent=intent)


@cache
def _demo() -> Assistant:
    settings = load_settings()
    return open_assistant(settings.catalogue, settings.tables, settings.terms, settings.tariff)


@cache
def asked_of_light(text: str) -> tuple[Quote, Reading]:
    """What the program makes of a question about light, with the demo's photometric files."""
    turn = _demo().take_turn(Conversation(), text)
    assert turn.quote is not None
    return turn.quote, turn.reading


SAMPLES = {
    "light_in_a_room": lambda: asked_of_light(
        "are 150w leds one for one good enough for 12 400w MH high bays at 24 ft in a 60x120 warehouse?"
    ),
    "light_at_a_fence": lambda: asked_of_light(
        "how much light spills at the fence 30 ft away from 250w MH wall packs at 18 ft?"
    ),
    "light_on_a_lot": lambda: asked_of_light(
        "how many poles at 25 ft for 1 fc on a 150 x 300 lot with 150w led shoeboxes, 2 heads each"
    ),
    "light_of_a_place": lambda: asked_of_light("is 20 fc enough for a warehouse"),
    "wall_packs": wall_packs,
    "two_lines": two_lines,
    "never_pays": never_pays,
    "led_asked_for": led_asked_for,
    "rebate_covers_all": rebate_covers_all,
    "indoor": indoor,
    "by_light": lambda: by_light("wall_pack", "MH"),
    "by_light_poles": lambda: by_light("area", "MH", height_ft=None),
    "by_light_floods": lambda: by_light("flood", "HPS"),
    "by_light_bays": lambda: by_light("high_bay", "MH", spacing_ft=24.0),
    "sixty_lines": lambda: many_lines(60),
    "nothing_fits": lambda: problem_line(
        "nothing_fits", family="wall_pack", nearest="SAMPLE/30", lacks="optic"
    ),
    "family_unknown": lambda: problem_line("family_unknown"),
    "already_led": lambda: problem_line("already_led", led_watts=50),
    "light_unknown": lambda: problem_line("light_unknown", family="wall_pack"),
    "needs_person": lambda: problem_line("needs_person", family="exit"),
    "hazardous_location": lambda: stopped("hazardous_location"),
    "danger": lambda: stopped("danger"),
    "person_wanted": lambda: stopped("person_wanted"),
    "over_600_volts": lambda: stopped("over_600_volts"),
    "live_work": lambda: stopped("live_work"),
    "compare": lambda: asked("compare"),
    "accept": lambda: asked("accept"),
    "layout": lambda: asked("layout"),
    "explain": lambda: asked("explain"),
    "status": lambda: asked("status"),
    "other": lambda: asked("other"),
    "greet": lambda: (None, Reading("greet")),
    "accept_nothing": lambda: (None, Reading("accept")),
    "compare_nothing": lambda: (None, Reading("compare")),
    "nothing_read": lambda: (None, Reading("quote", unread=((0, 0, 9),))),
    "emptied": lambda: (None, Reading("revise")),
    "fault_in_a_line": lambda: (
        None,
        Reading(
            "quote",
            lines=(StatedLine(qty=12, family="wall_pack"),),
            faults=(Fault("lines.0.height_ft", (0, 16, 22), "It can't be a mounting height of 900 ft."),),
        ),
    ),
    "fault": lambda: (
        None,
        Reading("quote", faults=(Fault("lines.0.qty", (0, 0, 1), "0 wall packs: how many are there?"),)),
    ),
}
"""Every kind of reply, by name."""
WITHOUT_QUOTE = frozenset(
    {"greet", "accept_nothing", "compare_nothing", "nothing_read", "emptied", "fault_in_a_line", "fault"}
)

"""Whatever product the row model takes, its sheet reads back as the same product."""

from decimal import Decimal
from functools import cache
from typing import get_args

from hypothesis import given
from hypothesis import strategies as st

from engine.catalog.catalogue import Catalogue
from engine.catalog.legacy import LegacyLuminaire
from engine.catalog.loader import LIKE_FOR_LIKE_SHEET, PRODUCT_SHEET, catalogue_of_rows
from engine.catalog.product import Kind, LampBase, Product, Shielding, SupplyVoltage, Wiring
from engine.vocabulary import FAMILIES, LAMP_SOURCES, Control, Dampness, Finish, Mount, Optic, Size

FORMULA_STARTS = ("=", "+", "-", "@")

# Strategies are made once: making them anew at each draw would take ten times as long as what is tried.
SURGES = st.just(0.0) | st.floats(0.01, 40)
LAMP_FEET = st.none() | st.floats(0.1, 10)
PART_NUMBERS = st.from_regex(r"\A[A-Z0-9][A-Z0-9./-]{2,39}\Z")
BUGS = st.none() | st.from_regex(r"\AB[0-5]-U[0-5]-G[0-5]\Z")
SEVERAL_FAMILIES = st.lists(st.sampled_from(FAMILIES), unique=True)
SOURCES = st.lists(st.sampled_from(LAMP_SOURCES), unique=True, min_size=1, max_size=4).map(tuple)
LEGACY_SOURCES = st.sampled_from([source for source in LAMP_SOURCES if source != "LED"])
PRICES = st.lists(st.decimals(Decimal("0.01"), 90_000, places=2), min_size=3, max_size=3)


@cache
def words(least: int, most: int) -> st.SearchStrategy[str]:
    """Any printable text that a sheet may hold: commas, quotes, bars, other scripts, but no formula."""
    return (
        st.text(
            st.characters(exclude_categories=["C", "Z"], include_characters=" "),
            min_size=least,
            max_size=most,
        )
        .map(str.strip)
        .filter(
            lambda text: len(text) >= least and text.isprintable() and not text.startswith(FORMULA_STARTS)
        )
    )


@cache
def several(vocabulary: object) -> st.SearchStrategy[tuple[str, ...]]:
    return st.lists(st.sampled_from(get_args(vocabulary)), unique=True, max_size=4).map(tuple)


@cache
def maybe(vocabulary: object) -> st.SearchStrategy[str | None]:
    return st.none() | st.sampled_from(get_args(vocabulary))


@st.composite
def products(draw: st.DrawFn) -> Product:
    watts = draw(st.floats(0.01, 1000))
    efficacy = draw(st.floats(1, 255))
    family = draw(st.sampled_from(FAMILIES))
    net = draw(st.decimals(Decimal("0.01"), 90_000, places=2))
    return Product(
        part_number=draw(PART_NUMBERS),
        description=draw(words(5, 160)),
        maker=draw(words(2, 60)),
        kind=draw(st.sampled_from(get_args(Kind))),
        family=family,
        also_fits=tuple(f for f in draw(SEVERAL_FAMILIES) if f != family),
        series=draw(words(2, 40)),
        shielding=draw(maybe(Shielding)),
        size=draw(maybe(Size)),
        lamp_feet=draw(LAMP_FEET),
        replaces_source=draw(SOURCES),
        base=draw(maybe(LampBase)),
        wiring=draw(maybe(Wiring)),
        input_watts=watts,
        lumens=watts * efficacy,
        efficacy_lm_per_w=efficacy,
        cct_k=tuple(draw(st.lists(st.integers(1800, 6500), unique=True, min_size=1, max_size=5))),
        cri=draw(st.integers(60, 100)),
        voltage=draw(st.sampled_from(get_args(SupplyVoltage))),
        optic=draw(maybe(Optic)),
        mounts=draw(several(Mount)),
        finishes=draw(several(Finish)),
        wet_rating=draw(maybe(Dampness)),
        controls=draw(several(Control)),
        emergency_option=draw(st.booleans()),
        safety_listing=draw(words(2, 60)),
        l70_hours=draw(st.integers(15_000, 500_000)),
        surge_kv=draw(SURGES),
        ambient_low_c=draw(st.integers(-60, 10)),
        ambient_high_c=draw(st.integers(20, 80)),
        lm79=draw(words(0, 40)),
        lm80=draw(words(0, 40)),
        dark_sky=draw(st.booleans()),
        bug=draw(BUGS),
        warranty_years=draw(st.integers(1, 15)),
        weight_lb=draw(st.floats(0.01, 300)),
        list_price=net + draw(st.decimals(0, 9_000, places=2)),
        net_price=net,
        stock=(("north", draw(st.integers(0, 1_000_000))), ("south", draw(st.integers(0, 1_000_000)))),
        lead_time_days=draw(st.integers(0, 365)),
        rebate_listed=draw(st.booleans()),
    )


@st.composite
def legacy_luminaires(draw: st.DrawFn) -> LegacyLuminaire:
    low, middle, high = sorted(draw(PRICES))
    return LegacyLuminaire(
        family=draw(st.sampled_from(FAMILIES)),
        source=draw(LEGACY_SOURCES),
        watts=draw(st.floats(0.01, 2000)),
        lamps=draw(st.integers(1, 24)),
        lamp_feet=draw(LAMP_FEET),
        net_price_low=low,
        net_price=middle,
        net_price_high=high,
        basis=draw(words(5, 120)),
    )


@given(
    st.lists(products(), min_size=1, max_size=4, unique_by=lambda p: p.part_number),
    st.lists(legacy_luminaires(), max_size=3, unique_by=lambda row: row.key),
)
def test_a_catalogue_survives_its_own_sheets(some: list[Product], legacy: list[LegacyLuminaire]) -> None:
    catalogue = Catalogue.of(some, legacy)

    again = catalogue_of_rows(catalogue.to_rows(), catalogue.like_for_like_rows())

    assert again == catalogue
    assert again.version == catalogue.version


def test_number_columns_of_the_sheets_are_those_of_the_models() -> None:
    """A numeric field that is left out of the discipline would take digits of other scripts and underscores."""
    for shape, model in ((PRODUCT_SHEET, Product), (LIKE_FOR_LIKE_SHEET, LegacyLuminaire)):
        numeric = {
            name
            for name, field in model.model_fields.items()
            if name != "stock" and any(kind in str(field.annotation) for kind in ("int", "float", "Decimal"))
        }
        assert shape.numbers | shape.whole == numeric
        assert not shape.numbers & shape.whole

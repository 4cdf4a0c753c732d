"""A product's own figures on a line: what no count, hours or price of energy changes, made once for all quotes of such a line."""

from engine.catalog.catalogue import Catalogue
from engine.catalog.product import Product
from engine.existing import Completed
from engine.figure import Figure, catalogued, defined, derive, looked_up, stated
from engine.money.maintenance import NO_MERCURY
from engine.record import record


@record
class ProductFigures:
    """Figures of one product on one line; each quote's line with that product is computed from these very ones.

    Attributes:
        input_watts: of the pieces in one luminaire [W].
        unit_price: of a piece [USD].
        warranty_years: [yr].
        pieces_each: that go into one luminaire [1]; ``None`` where it is one.
        lamps: to be recycled of one present luminaire [1]; ``None`` where none is.
        like_for_like_price: of a new luminaire of the present kind, from the catalogue [USD]; ``None`` where it has none.
    """

    input_watts: Figure
    unit_price: Figure
    warranty_years: Figure
    pieces_each: Figure | None
    lamps: Figure | None
    like_for_like_price: Figure | None


def product_figures(
    prefix: str, done: Completed, product: Product, pieces_each: int, catalogue: Catalogue
) -> ProductFigures:
    """The figures of ``product`` on the line that ``prefix`` names."""
    number = product.part_number
    watts = catalogued("input_watts_after", product.input_watts, "W", number)
    if pieces_each != 1:
        piece = catalogued("input_watts_each", product.input_watts, "W", number)
        count = stated("pieces_each", pieces_each, "1", f"{prefix}.lamps")
        watts = derive("input_watts_after", "W", "input_watts_each * pieces_each", piece, count)
    existing = done.existing
    recycled = existing is not None and existing.source is not None and existing.source not in NO_MERCURY
    return ProductFigures(
        input_watts=watts,
        unit_price=catalogued("unit_price", product.net_price, "USD", number),
        warranty_years=catalogued("warranty_years", product.warranty_years, "yr", number),
        pieces_each=None
        if pieces_each == 1
        else defined("pieces_each", pieces_each, "1", "pieces a luminaire"),
        lamps=defined("lamps", existing.lamps, "1", "lamps a luminaire") if existing and recycled else None,
        like_for_like_price=_like_for_like_price(done, catalogue),
    )


def _like_for_like_price(done: Completed, catalogue: Catalogue) -> Figure | None:
    e = done.existing
    if e is None or e.source is None or e.lamp_watts is None:
        return None
    legacy = catalogue.like_for_like_of(e.family, e.source, e.lamp_watts, e.lamps, e.lamp_feet)
    if legacy is None:
        return None
    return looked_up(
        "like_for_like_price", legacy.net_price, "USD", legacy.basis,
        f"like_for_like.csv: {e.family} {e.source} {e.lamp_watts:g} W", legacy.net_price_low, legacy.net_price_high,
    )  # fmt: skip

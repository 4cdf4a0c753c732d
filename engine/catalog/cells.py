"""Products and legacy luminaires as the text cells of a sheet: the way out, whose way back is the loader."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Final

from engine.catalog.legacy import LegacyLuminaire
from engine.catalog.product import Product

STOCK_PREFIX: Final = "stock_"
PRODUCT_COLUMNS: Final = tuple(name for name in Product.model_fields if name != "stock")
"""Columns that every product sheet has, in the order in which they are written; they may be read in any order."""

LIKE_FOR_LIKE_COLUMNS: Final = tuple(LegacyLuminaire.model_fields)


def product_cells(product: Product, branches: Iterable[str]) -> dict[str, str]:
    """Text by column; a branch that keeps no count of the product reads 0."""
    cells = {name: _cell(getattr(product, name)) for name in PRODUCT_COLUMNS}
    on_hand = dict(product.stock)
    for branch in branches:
        cells[STOCK_PREFIX + branch] = str(on_hand.get(branch, 0))
    return cells


def legacy_cells(luminaire: LegacyLuminaire) -> dict[str, str]:
    """Text by column of a like-for-like sheet."""
    return {name: _cell(getattr(luminaire, name)) for name in LIKE_FOR_LIKE_COLUMNS}


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return "|".join(_cell(part) for part in value)
    if isinstance(value, float):
        # Through repr and Decimal: every digit that tells this float from its neighbours, never an exponent.
        text = format(Decimal(repr(value)), "f")
        return text.removesuffix(".0")
    return str(value)

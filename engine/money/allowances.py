"""Allowances of upkeep and project cost (``engine/tables/allowances.csv``): figures to assume, each with its range."""

from collections.abc import Mapping
from functools import cache

from engine.figure import Figure, assumed
from engine.tables.rows import DefaultRow
from engine.tables.tables import load_tables


@cache
def allowance(key: str, reference: str = "") -> Figure:
    """The allowance under ``key`` as an assumed figure of that name: one and the same object each time.

    Args:
        key: of ``allowances.csv``.
        reference: the slot or name whose statement would replace it.

    Raises:
        KeyError: no such row.
    """
    row = _rows()[key]
    unit = row.unit or "1"
    if unit.startswith("USD"):
        value, low, high = row.value, row.value_low, row.value_high
        return assumed(key, value, unit, low, high, _source(row), reference)
    return assumed(
        key, float(row.value), unit, float(row.value_low), float(row.value_high), _source(row), reference
    )


def _source(row: DefaultRow) -> str:
    return f"{row.provenance} (allowances.csv: {row.key})"


@cache
def _rows() -> Mapping[str, DefaultRow]:
    return {row.key: row for row in load_tables().allowances}

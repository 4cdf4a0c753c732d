"""Allowances of upkeep and project cost (``allowances.csv`` beside this module): figures to assume, each with its range."""

from collections.abc import Mapping
from functools import cache
from importlib import resources

from engine.figure import Figure, assumed
from engine.tables.rows import DefaultRow
from engine.tables.sheet import read_rows, read_sidecar


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
    folder = resources.files("engine.money")
    sidecar = read_sidecar("allowances.toml", (folder / "allowances.toml").read_bytes())
    rows = read_rows(sidecar, "allowances.csv", (folder / "allowances.csv").read_bytes(), DefaultRow)
    return {row.key: row for row in rows}

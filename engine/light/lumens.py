"""Lumens by zone, integrated within the cells of a file's own table (type C): the split may fall anywhere."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from engine.light.photometry import Floats, Photometry
from engine.light.planes import cell_lumens, turned, whole_circle

ZONE_EDGES_DEG: Final = (0.0, 30.0, 60.0, 80.0, 90.0, 100.0, 180.0)
"""Low, medium, high and very high, then uplight low and high (IES TM-15, from the fundamentals' addenda on BUG ratings)."""


@dataclass(frozen=True, slots=True)
class TableOfPlanes:
    """Type C planes over the whole circle, counted from forward: angles [deg], candela (planes, verticals)."""

    horizontal_deg: Floats
    vertical_deg: Floats
    candela: Floats

    def with_edges(self, verticals: Sequence[float], horizontals: Sequence[float]) -> "TableOfPlanes":
        """The same light with rows and columns put in where zones are cut."""
        v, h = self.vertical_deg, self.horizontal_deg
        inside = [edge for edge in verticals if v[0] < edge < v[-1]]
        v_all = np.union1d(v, inside)
        by_v = np.stack([np.interp(v_all, v, plane) for plane in self.candela])
        h_all = np.union1d(h, horizontals)
        table = np.stack([np.interp(h_all, h, column) for column in by_v.T], axis=1)
        return TableOfPlanes(h_all, v_all, table)

    def cells(self) -> Floats:
        """Lumens of each cell, shape (planes - 1, verticals - 1): exact for a table linear in both angles."""
        return cell_lumens(self.horizontal_deg, self.vertical_deg, self.candela)


def planes_of(photometry: Photometry, spin_deg: float = 0.0) -> TableOfPlanes:
    """The planes of a type C file from forward.

    Raises:
        ValueError: the file is of type A or B.
    """
    if photometry.type != "C":
        raise ValueError("zones are counted in type C")
    horizontal, candela = whole_circle(photometry)
    horizontal, candela = turned(horizontal, candela, (photometry.forward_deg + spin_deg) % 360.0)
    return TableOfPlanes(horizontal, photometry.vertical_deg, candela)


def zone_lumens(planes: TableOfPlanes, low_deg: float, high_deg: float) -> float:
    """Lumens between two vertical angles, all around [lm]."""
    cut = planes.with_edges((low_deg, high_deg), ())
    v = cut.vertical_deg
    inside = (v[:-1] >= low_deg - 1e-9) & (v[1:] <= high_deg + 1e-9)
    return float(cut.cells()[:, inside].sum())


def outdoor_zones(planes: TableOfPlanes) -> Mapping[str, float]:
    """Forward (F) and backward (B) low, medium, high, very high, and uplight low and high, as TM-15 names them [lm]."""
    cut = planes.with_edges(ZONE_EDGES_DEG, (90.0, 270.0))
    cells = cut.cells()
    h, v = cut.horizontal_deg, cut.vertical_deg
    middle = (h[:-1] + h[1:]) / 2
    forward = (middle < 90.0) | (middle > 270.0)
    out = {}
    for name, low, high in zip(("L", "M", "H", "VH"), ZONE_EDGES_DEG, ZONE_EDGES_DEG[1:], strict=False):
        column = (v[:-1] >= low - 1e-9) & (v[1:] <= high + 1e-9)
        out[f"F{name}"] = float(cells[forward][:, column].sum())
        out[f"B{name}"] = float(cells[~forward][:, column].sum())
    for name, low, high in (("UL", 90.0, 100.0), ("UH", 100.0, 180.0)):
        column = (v[:-1] >= low - 1e-9) & (v[1:] <= high + 1e-9)
        out[name] = float(cells[:, column].sum())
    return out

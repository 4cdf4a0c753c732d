"""A whole catalogue, checked and frozen, with the look-ups that choosing a product needs."""

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, Final

from engine.catalog.cells import legacy_cells, product_cells
from engine.catalog.fault import MAX_FAULTS, CatalogueFault, Fault
from engine.catalog.legacy import LegacyKey, LegacyLuminaire
from engine.catalog.light_files import photometry_of
from engine.catalog.product import Kind, Product
from engine.light.photometry import Photometry
from engine.vocabulary import Family, LampSource

NO_LIGHT: Final[Mapping[str, bytes]] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Catalogue:
    """Every product on sale, and the prices of new legacy luminaires to compare with. Build it with `of`.

    Attributes:
        products: sorted by part number.
        like_for_like: sorted by family, source, watts, lamps, length.
        version: twelve hex digits of a hash over the contents; the order and the split into files do not matter.
        light: bytes of photometric files by the name that products give; understood when first asked for.
        by_part_number: the product of a part number.
        by_kind_and_family: products of a kind that are of a family, or (kits and lamps) also fit it; by part number.
        by_legacy_key: the like-for-like row of a family, source, lamp watts, lamps and lamp length.
        misfits: what choosing found out about these products, see `engine.selection.fitting`: it follows from the
            contents, and spares finding it out again.
    """

    products: tuple[Product, ...]
    like_for_like: tuple[LegacyLuminaire, ...]
    version: str
    by_part_number: Mapping[str, Product] = field(repr=False, compare=False)
    by_kind_and_family: Mapping[tuple[Kind, Family], tuple[Product, ...]] = field(repr=False, compare=False)
    by_legacy_key: Mapping[LegacyKey, LegacyLuminaire] = field(repr=False, compare=False)
    light: Mapping[str, bytes] = field(repr=False, compare=False, default_factory=dict)
    misfits: dict[Any, Any] = field(repr=False, compare=False, default_factory=dict, init=False)

    @classmethod
    def of(
        cls,
        products: Iterable[Product],
        like_for_like: Iterable[LegacyLuminaire] = (),
        light: Mapping[str, bytes] = NO_LIGHT,
    ) -> "Catalogue":
        """A catalogue of these products.

        Raises:
            ValueError: a part number, or a like-for-like key, stands twice.
        """
        ordered = tuple(sorted(products, key=lambda product: product.part_number))
        by_part_number = {product.part_number: product for product in ordered}
        if len(by_part_number) < len(ordered):
            raise ValueError("a part number stands twice in the catalogue")
        legacy = tuple(sorted(like_for_like, key=_legacy_order))
        by_legacy_key = {row.key: row for row in legacy}
        if len(by_legacy_key) < len(legacy):
            raise ValueError("a like-for-like luminaire stands twice in the catalogue")
        shelves: dict[tuple[Kind, Family], list[Product]] = {}
        for product in ordered:
            for family in (product.family, *product.also_fits):
                shelves.setdefault((product.kind, family), []).append(product)
        return cls(
            products=ordered,
            like_for_like=legacy,
            version=_content_hash(ordered, legacy, light),
            by_part_number=MappingProxyType(by_part_number),
            by_kind_and_family=MappingProxyType({key: tuple(shelf) for key, shelf in shelves.items()}),
            by_legacy_key=MappingProxyType(by_legacy_key),
            light=MappingProxyType({name: light[name] for name in sorted(light)}),
        )

    def photometry_of(self, product: Product) -> Photometry | None:
        """The light of ``product``, type C; ``None`` where it has no file.

        Raises:
            engine.catalog.fault.CatalogueFault: its file can't be trusted; file and line are named.
        """
        return photometry_of(product, self.light)

    def check_light(self) -> None:
        """Reads every photometric file, so that a faulty one is found before anything is answered.

        Raises:
            engine.catalog.fault.CatalogueFault: the first faults; file and line are named.
        """
        faults: dict[Fault, None] = {}
        for product in self.products:
            try:
                photometry_of(product, self.light)
            except CatalogueFault as fault:
                faults |= dict.fromkeys(fault.faults)
        if faults:
            raise CatalogueFault(tuple(faults)[:MAX_FAULTS])

    def of_kind(self, kind: Kind, family: Family) -> tuple[Product, ...]:
        """Products of ``kind`` that are of ``family`` or also fit it, by part number; empty where there are none."""
        return self.by_kind_and_family.get((kind, family), ())

    def like_for_like_of(
        self,
        family: Family,
        source: LampSource,
        watts: float,
        lamps: int = 1,
        lamp_feet: float | None = None,
    ) -> LegacyLuminaire | None:
        """The price row of a new legacy luminaire [watts of one lamp, length in ft], or ``None`` where there is none."""
        return self.by_legacy_key.get((family, source, watts, lamps, lamp_feet))

    @property
    def branches(self) -> tuple[str, ...]:
        """Keys of the branches that any product counts stock at, sorted."""
        return tuple(sorted({branch for product in self.products for branch, _ in product.stock}))

    def to_rows(self) -> tuple[dict[str, str], ...]:
        """The products as text cells by column name, ``stock_<branch>`` columns last; what `catalogue_of_rows` takes."""
        branches = self.branches
        return tuple(product_cells(product, branches) for product in self.products)

    def like_for_like_rows(self) -> tuple[dict[str, str], ...]:
        """The like-for-like prices as text cells by column name; what `catalogue_of_rows` takes beside `to_rows`."""
        return tuple(legacy_cells(row) for row in self.like_for_like)


def _legacy_order(row: LegacyLuminaire) -> tuple[str, str, float, int, float]:
    return (row.family, row.source, row.watts, row.lamps, row.lamp_feet or 0.0)


def _content_hash(
    products: tuple[Product, ...], legacy: tuple[LegacyLuminaire, ...], light: Mapping[str, bytes]
) -> str:
    digest = hashlib.sha256()
    for record in (*products, *legacy):
        digest.update(record.model_dump_json().encode())
        digest.update(b"\n")
    for name in sorted(light):
        digest.update(name.encode() + b"\0" + hashlib.sha256(light[name]).digest())
    return digest.hexdigest()[:12]

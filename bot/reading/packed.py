"""Counts that are packed: "3 cases of wall packs, 4 to a case" are twelve."""

from bot.reading.clause import Work
from bot.reading.heads import Product
from bot.reading.shares import bare
from bot.reading.words import words_of

_PACKS = words_of(
    "case cases cs carton cartons box boxes pallet pallets skid skids crate crates caja cajas tarima tarimas paquete paquetes"
)
_TO_A = words_of("to a an per in each every por cada la el the x /")
_APART = 24


def packed(work: Work) -> list[Product]:
    """The counts that are so many packages with so many each; the doubt is the number of packages."""
    spots = [at for at, atom in enumerate(work.atoms) if atom.text in _PACKS]
    if not spots:
        return []
    first = spots[0]
    many = first - 1
    if not bare(work, many):
        return []
    packs = int(work.atoms[many].value)
    for spot in spots[1:]:
        # "4 to a case", "10 per box"
        step = spot - 1
        while step > spot - 4 and not _TO_A.isdisjoint(work.text_at(step).split(" ")):
            step -= 1
        if step < spot - 1 and step > first and step - many <= _APART and bare(work, step):
            each = int(work.atoms[step].value)
            work.use(step, spot)
            work.use(many, first)
            return [Product(many, first, packs * each, (packs,))]
    if work.text_at(first + 1) in ("of", "de") and bare(work, first + 2):
        each = int(work.atoms[first + 2].value)
        work.use(many, first + 2)
        return [Product(many, first + 2, packs * each, (packs,))]
    return []

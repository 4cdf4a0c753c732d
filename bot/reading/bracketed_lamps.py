"""Lamps counted in brackets of their own: "(40) (4) lamp high bays"."""

from bot.reading.atoms import Atom


def bracketed_lamps(atoms: list[Atom]) -> list[Atom]:
    """The atoms without the brackets around a number that "lamp" follows."""
    gone: set[int] = set()
    for at in range(len(atoms) - 3):
        if (
            atoms[at].text == "("
            and atoms[at + 1].kind == "n"
            and 1 <= atoms[at + 1].value <= 8
            and atoms[at + 2].text == ")"
            and atoms[at + 3].mean.get("unit") == "lamps"
            and at
            and atoms[at - 1].text == ")"
        ):
            gone |= {at, at + 2}
    return [atom for at, atom in enumerate(atoms) if at not in gone] if gone else atoms

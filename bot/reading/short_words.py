"""What is written short beside a number: "1k watt", "quarter-k sodium", "100w sod", "250 metals"."""

from bot.reading.atoms import Atom
from bot.reading.codes import lamp_tables
from bot.reading.words import words_of

_PARTS_OF_A_THOUSAND = {"quarter": 250.0, "half": 500.0, "1": 1000.0, "1.5": 1500.0, "one": 1000.0}
_LAMPS = {"sod": "HPS", "sods": "HPS", "metals": "MH", "metal": "MH"}
_COMPACT = frozenset({13.0, 18.0, 26.0, 32.0, 42.0, 57.0})
_COLOURS = frozenset({2200.0, 2700.0, 3000.0, 3500.0, 4000.0, 4100.0, 5000.0, 5700.0, 6500.0})
_SHORT = words_of("4 ind k ks pls sod sods metals metal")


def short_words(atoms: list[Atom]) -> list[Atom]:
    """The atoms with such words read in full."""
    if not any(atom.text in _SHORT for atom in atoms):
        return atoms
    out: list[Atom] = []
    for index, atom in enumerate(atoms):
        if atom.text == "ks" and out and atoms[index - 1].text in ("1", "1.5") and atom.glued:
            before = out.pop()
            watts = _PARTS_OF_A_THOUSAND[before.text]
            out.append(before._replace(text=f"{watts:.0f}", value=watts, end=atom.start + 1))
            out.append(Atom("w", atom.start + 1, atom.end, "s", glued=True))
            continue
        if atom.text == "pls" and _compact(atoms, index):
            atom = atom._replace(kind="p", mean={"source": "CFL"})
        if atom.text == "k" and out and (many := _thousand(atoms, index)) is not None:
            first = index - 2 if atoms[index - 1].text == "-" else index - 1
            del out[len(out) - (index - first) :]
            start = atoms[first].start
            out.append(Atom("n", start, atom.end, f"{many:.0f}", many, glued=atoms[first].glued))
            continue
        if atom.text == "4" and _for(atoms, index):
            atom = atom._replace(kind="w", text="for", value=0.0)
        if atom.text == "ind" and _induction(atoms, index):
            atom = atom._replace(kind="p", mean={"source": "IND"})
        if (
            atom.text == "k"
            and not (atom.mean or atom.glued)
            and out
            and out[-1].kind == "n"
            and out[-1].value in _COLOURS
        ):
            atom = atom._replace(kind="p", mean={"unit": "kelvin"})  # "CCT shall be 3000 K"
        if atom.text in _LAMPS and _lamp(atoms, index):
            atom = atom._replace(kind="p", mean={"source": _LAMPS[atom.text]})
        out.append(atom)
    return out


_ASKED = words_of("price prices pricing quote cost costs looking ballpark number numbers estimate")
_ABOUT = words_of("like about around roughly")


def _for(atoms: list[Atom], at: int) -> bool:
    """Whether "4" is how somebody writes "for": "price 4 12 wall packs", "wats ur price 4 like 15 hi bays"."""
    if not at or atoms[at - 1].text.split(" ")[-1] not in _ASKED or at + 2 >= len(atoms):
        return False
    after = at + 1 + (atoms[at + 1].text in _ABOUT)
    if atoms[after].kind != "n" or atoms[after].glued or after + 1 >= len(atoms) or atoms[after].value >= 70:
        return False  # "price 4 250 wall packs", "quote 4 100w floods": they are counted
    return "family" in atoms[after + 1].mean or atoms[after + 1].kind == "n"


def _induction(atoms: list[Atom], at: int) -> bool:
    """Whether "ind" names a lamp: its watts stand right beside it ("60 IND 85W", "85W IND")."""
    watts = lamp_tables().watts["IND"]
    if at > 1 and atoms[at - 1].mean.get("unit") == "w":
        return atoms[at - 2].value in watts
    if at + 2 < len(atoms) and atoms[at + 1].kind == "n":
        return atoms[at + 1].value in watts and atoms[at + 2].mean.get("unit") == "w"
    return False


def _compact(atoms: list[Atom], at: int) -> bool:
    """Whether "pls" are PL lamps and no courtesy: "12 cans w 26 pls"."""
    if not at or atoms[at - 1].kind != "n" or atoms[at - 1].value not in _COMPACT:
        return False
    return any(atom.mean.get("family") == "downlight" for atom in atoms[max(0, at - 5) : at - 1])


def _thousand(atoms: list[Atom], at: int) -> float | None:
    """Watts that are told by the thousand at the word "k"; ``None`` where none are."""
    lead = at - 2 if at > 1 and atoms[at - 1].text == "-" else at - 1
    many = _PARTS_OF_A_THOUSAND.get(atoms[lead].text) if lead >= 0 else None
    if many is None or at + 1 >= len(atoms):
        return None
    after = atoms[at + 1].mean
    if after.get("unit") == "w" or after.get("source") in ("MH", "PSMH", "HPS", "MV"):
        return many
    return many if "family" in after and many < 1000.0 else None


def _lamp(atoms: list[Atom], at: int) -> bool:
    """Whether the watts of such a lamp stand right before the word, and nothing that goes on with it behind."""
    if at + 1 < len(atoms) and (
        "source" in atoms[at + 1].mean
        or atoms[at + 1].text in ("halide", "boxes", "box", "pole", "poles", "building")
    ):
        return False
    before = atoms[at - 1] if at else None
    if before is None:
        return False
    if before.mean.get("unit") == "w":
        return True
    return (
        before.kind == "n"
        and before.value >= 35
        and before.value in lamp_tables().watts[_LAMPS[atoms[at].text]]
    )

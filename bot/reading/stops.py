"""Marks that part a text: a full stop behind a unit ("277V. Locker rooms"), the figures of an inline list ("1) 15 packs 2) 8 floods")."""

from bot.reading.atoms import Atom
from bot.reading.words import words_of

_OPENERS = frozenset(
    {
        "the",
        "they",
        "those",
        "these",
        "we",
        "i",
        "both",
        "everything",
        "also",
        "please",
        "they're",
        "theyre",
        "there",
    }
)
_NEVER_SHORT = frozenset({"v", "w", "kelvin", "lamps"})
"""Units that nobody writes with a point of their own within a sentence."""


_SOMEWHERE = ("in the ", "in both", "in all", "in back", "in front", "in each", "in a ", "in our ", "in my ")
"""Where something is; no inches."""


def _ends(atom: Atom, after: Atom | None, text: str) -> bool:
    """Whether the point at the end of a unit closes the sentence."""
    if after is None or after.kind == "b":
        return False
    unit = atom.mean.get("unit")
    if unit is None or after.kind == "s":
        return False
    # a capital and a small letter: a new sentence in a text that isn't all capitals
    anew = text[after.start : after.start + 1].isupper() and text[after.start + 1 : after.start + 2].islower()
    if unit in _NEVER_SHORT:
        return (
            anew or unit != "w" or "source" not in after.mean
        )  # "26w. compact fluorescent": the lamp's watts
    if after.text in _OPENERS:
        return True
    if unit == "ft" and after.kind == "n":
        behind = text[after.end : after.end + 12].lstrip().lower()
        return after.value >= 12 or behind[:1] not in ('"', "i") or behind.startswith(_SOMEWHERE)
    return anew


_SUBJECT_OF = frozenset({":", "is", "are", "gets", "needs", "has", "have"})


def _headed(atoms: list[Atom], at: int) -> bool:
    """Whether a heading or a subject of its own follows: "24 ft. office: 18 troffers", "25 ft. shop is 277"."""
    for atom in atoms[at + 1 : at + 4]:
        if atom.text in _SUBJECT_OF:
            return atom is not atoms[at + 1]
        if atom.kind not in ("w", "p"):
            return False
    return False


def part_stops(atoms: list[Atom], text: str) -> list[Atom]:
    """The atoms with the points that close a sentence parted from the units that they stand behind."""
    out: list[Atom] = []
    for index, atom in enumerate(atoms):
        if (
            atom.kind == "p"
            and atom.text.endswith(" .")
            and text[atom.end - 1 : atom.end] == "."
            and (
                _ends(atom, atoms[index + 1] if index + 1 < len(atoms) else None, text)
                or _headed(atoms, index)
            )
        ):
            out.append(atom._replace(end=atom.end - 1, text=atom.text[:-2]))
            out.append(Atom("s", atom.end - 1, atom.end, ".", glued=True))
        else:
            out.append(atom)
    return out


_MOST_INSIDE = 40
"""Atoms that a bracket holds at most."""


def marks_in_brackets(atoms: list[Atom]) -> None:
    """Read the semicolons inside a bracket as commas: "12 sconces (26W CFL; warm white; damp location) and 30 cans" ends no sentence."""
    opened = -1
    for at, atom in enumerate(atoms):
        if atom.kind == "b":
            opened = -1
        elif atom.kind != "s":
            continue
        elif atom.text == "(":
            opened = at
        elif atom.text == ")":
            if opened >= 0 and at - opened <= _MOST_INSIDE:
                for n in range(opened, at):
                    if atoms[n].text == ";":
                        atoms[n] = atoms[n]._replace(text=",")
            opened = -1


_NO_BULLET = frozenset({"(", "$", "/", "x", ".", "type", "phase", "level", "bldg", "building", "floor", "-"})


def number_list(atoms: list[Atom]) -> None:
    """Make the figures of an inline list its bullets: "1) 15 wall packs 2) 8 floods"."""
    run: list[int] = []
    for at, atom in enumerate(atoms):
        if atom.kind != "n" or atom.value != len(run) + 1 or not atom.text.isdigit() or at + 2 >= len(atoms):
            continue
        mark = atoms[at + 1]
        if (
            mark.text in (")", ".")
            and mark.glued
            and (mark.text == ")" or (atoms[at + 2].kind == "n" and not atoms[at + 2].glued))
            and (not at or atoms[at - 1].text not in _NO_BULLET)
        ):
            run.append(at)
    if len(run) >= 2 and len({atoms[at + 1].text for at in run}) == 1:
        for at in run:
            atoms[at] = atoms[at]._replace(kind="p", mean={"bullet": True})


_WHO = words_of("you u we i they it that who he she ya yall y'all one someone anyone customer guys")
_SPEAKING = words_of(
    "said say says saying told tell forget talk talking talked ask asking asked question wrote mentioned know heard worry"
)
_NEARLY = words_of(
    "about like roughly approx approximately maybe around probably prolly bout abt circa ~ aproximadamente como unos unas cerca"
)


def legend(atoms: list[Atom]) -> list[Atom]:
    """The atoms with the writer's own short names read as he explains them: "CH 100 HPS - 34 ... (CH = cobra head)"."""
    told: dict[str, Atom] = {}
    for at in [at for at, atom in enumerate(atoms) if atom.text == "=" and 0 < at < len(atoms) - 1]:
        short, name = atoms[at - 1], atoms[at + 1]
        if short.kind in ("w", "x", "p") and 1 <= len(short.text) <= 4 and "family" in name.mean:
            told[short.text] = name
    if not told:
        return atoms
    out = []
    skip = 0
    for at, atom in enumerate(atoms):
        if skip:
            skip -= 1
            continue
        if atom.text in told and at + 1 < len(atoms) and atoms[at + 1].text == "=":
            skip = 2  # the explanation names no type itself
            continue
        if atom.text in told:
            atom = atom._replace(kind="p", mean=told[atom.text].mean)
        out.append(atom)
    return out


_PERHAPS = words_of("maybe possibly perhaps quiza quizas")


def _or_so_many(out: list[Atom], atoms: list[Atom], at: int) -> int | None:
    """Which atom of ``out`` is the count that the number behind "maybe" gives another value: "thirty of em, maybe thirty two"."""
    base = len(out) - 1
    if base >= 0 and "range" in out[base].mean.get("cue", ()):
        base -= 1
    if base >= 0 and out[base].text == "but":
        base -= 1  # "14 but maybe 15 wall packs"
    if base >= 0 and out[base].text == ",":
        base -= 1
    if base > 0 and (out[base].mean.get("unit") == "each" or "family" in out[base].mean):
        base -= 1
    if base > 1 and out[base].text == "so" and out[base - 1].text == "or":
        base -= 2  # "30 or so high bays, maybe 32"
    if base < 0 or out[base].kind != "n" or (base and out[base - 1].text in ("at", "$", "@")):
        return None
    said, other = out[base].value, atoms[at].value
    after = atoms[at + 1].mean if at + 1 < len(atoms) else {}
    if not said < other <= said * 1.5 + 2 or other != int(other) or after.get("unit", "each") != "each":
        return None
    return base if at + 1 == len(atoms) or atoms[at + 1].kind != "n" else None


_ASKED = words_of(
    "quote quotes price prices pricing bid estimate proposal numbers cost costs info cotizacion precio"
)
_LOOKED_AT = _NEARLY | _PERHAPS | {"on", "can", "flood", "floods", "spot", "spots", "drawing", "in all"}
_VOLTS = frozenset({208.0, 240.0, 277.0, 347.0, 480.0})
_ITS_OWN = words_of("the a your our my this that per shop old new on")


def outright(atoms: list[Atom]) -> list[Atom]:
    """The atoms without the words that only say a number is not exact: "mounted at roughly 22" reads as "mounted at 22"."""
    out: list[Atom] = []
    count = len(atoms)
    skip = -1
    for index, atom in enumerate(atoms):
        if index == skip:
            continue
        if atom.text not in _LOOKED_AT:
            out.append(atom)
            continue
        if atom.text in _PERHAPS and index + 1 < count and atoms[index + 1].kind == "n":
            base = _or_so_many(out, atoms, index + 1)
            if base is not None:
                out[base] = out[base]._replace(others=(atoms[index + 1].value,))
                if out[-1].text == "but":
                    out.pop()
                skip = index + 1
                continue
        if atom.text == "on":
            leads = 0 < index < count - 1 and atoms[index - 1].text in _ASKED and atoms[index + 1].kind == "n"
            if not leads:  # "need a quote on 12 poles" is no place
                out.append(atom)
            continue
        if atom.text == "can" and index and atoms[index - 1].text in _WHO:
            out.append(atom._replace(kind="w", mean={}))  # "if you can"
            continue
        if atom.text == "in all":
            # "14 in all" is how many there are; "motion in all of them", "277 in all" is said of every one
            whole = index and (atoms[index - 1].kind != "n" or atoms[index - 1].value in _VOLTS)
            out.append(atom._replace(mean={"en": True, "scope": "all"}) if whole else atom)
            continue
        if atom.text == "drawing":
            # "the drawing says 22": a sheet, and no load
            out.append(
                atom._replace(kind="w", mean={}) if index and atoms[index - 1].text in _ITS_OWN else atom
            )
            continue
        if (
            atom.text in ("flood", "floods", "spot", "spots", "can")
            and index + 1 < count
            and atoms[index + 1].text in ("bulb", "bulbs")
        ):
            out.append(atom._replace(kind="w", mean={}))  # "65 W incandescent flood bulbs"
            continue
        if (
            atom.text in _NEARLY
            and index > 0
            and index + 1 < count
            and atoms[index + 1].kind == "n"
            and atom.kind != "n"
        ):
            before = atoms[index - 1]
            if before.text in _SPEAKING:
                out.append(atom)  # "forget what I said about 400"
                continue
            if before.kind in ("w", "p", "n", "c") or before.text in (",", "@"):
                continue
        out.append(atom)
    return out


def part_withs(atoms: list[Atom]) -> list[Atom]:
    """Read a "w/" behind a count as "with", never as watts: "10 w/ (4) 32 W lamps", "8 w/ 4 lamp T8"."""
    found: list[int] = []
    for index in range(1, len(atoms)):
        atom = atoms[index]
        if atom.text == "w / o":
            atoms[index] = atom._replace(text="without")
        elif (
            atom.text == "w"
            and index < len(atoms) - 2
            and not atom.glued
            and atoms[index + 1].text == "/"
            and atoms[index + 1].glued
            and atoms[index - 1].kind == "n"
            and (atoms[index - 1].value < 35 or atoms[index + 2].text == "(" or not atoms[index + 2].glued)
            and "unit" in atom.mean
        ):
            mean = {kind: value for kind, value in atom.mean.items() if kind != "unit"}
            atoms[index] = atom._replace(text="with", end=atoms[index + 1].end, mean=mean)
            found.append(index + 1)
    for mark in found[::-1]:
        del atoms[mark]
    return atoms

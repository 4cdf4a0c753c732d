"""Words of a talk that name types which are there: "drop both floods", "all of the bollards in bronze", "keep the cans"."""

from bot.reading.clause import Work
from bot.reading.fitting import near_families

_WORDS = frozenset({"all", "both", "either", "todos", "todas", "ambos", "ambas", "los dos", "las dos", "both types", "both kinds", "both sets",
                    "both lines", "all types", "every type", "all lines", "all of the", "all of those", "all of these", "all of them"})  # fmt: skip
_BETWEEN = frozenset({"of", "the", "those", "these", "our", "my", "your", "kinds", "types", "sets", "groups", "de", "los", "las", "of the", "of those",
                      "tipos de", "tipos", "two", "three", "different"})  # fmt: skip
_WHOLE = frozenset(
    {"them", "these", "those", "em", "it", "theyre", "they", "are", "were", "is", "estos", "esos", "son"}
)
"""Before "all": it is said of what these speak of, and what follows is what they are to be ("make them all floods")."""
_GOES = frozenset({"scratch", "lose", "kill", "cut", "strike", "pull", "nvm", "never mind", "nevermind"})
"""Verbs that take away what "the" follows."""
_THE = {"cue": frozenset({"the"})}


def every_one_of(work: Work) -> None:
    """In a talk, read "all" and "both" before a type that is there as "the"."""
    families: frozenset[str] | None = work.flags.get("families")
    if not families or not work.speaks_of("scope"):
        return
    for index in range(len(work.atoms)):
        kind = work.has(index, "scope")
        if kind not in ("all", "both") or work.used[index] or work.text_at(index) not in _WORDS:
            continue
        if work.text_at(index - 1) in _WHOLE:
            continue
        at = index + 1
        while at < index + 4 and work.text_at(at) in _BETWEEN:
            at += 1
        family = work.has(at, "family") or work.has(at, "pointer")
        if family is None or families.isdisjoint((family, *near_families((family,)))):
            continue
        if work.text_at(index - 1) in _GOES:
            work.atoms[index - 1] = work.atoms[index - 1]._replace(mean={"action": frozenset({"remove"})})
        for word in range(index, at):
            work.atoms[word] = work.atoms[word]._replace(kind="w", text="the", mean=_THE)


def kept_lights(work: Work) -> None:
    """Read "drop the strips, keep the cans" as a word of the lights, where there are such: no housings are kept."""
    if not work.speaks_of("action") or "downlight" not in work.flags.get("families", ()):
        return
    kept = [n for n, atom in enumerate(work.atoms) if atom.mean.get("flag") == "keep_housing"]
    if len(kept) != 1 or not work.text_at(kept[0]).endswith(" cans"):
        return
    if any("remove" in atom.mean.get("action", ()) for atom in work.atoms):
        atom = work.atoms[kept[0]]
        work.atoms[kept[0]] = atom._replace(start=atom.end - 4, text="cans", mean={"family": "downlight"})

"""LEDs that hang there now: "the 8 LED wall packs we put in ten years ago", "the old ones are LED already"."""

from bot.reading.atoms import Atom
from bot.reading.clause import Work, ends_clause
from bot.reading.words import words_of

_THEN = words_of("we they i that which who previous last owner somebody someone contractor que")
_DONE = words_of(
    "put installed hung bought got had went were was have keep pusimos instalamos pusieron instalaron compramos"
)
_PUT_UP = words_of("put installed hung bought pusimos instalamos pusieron instalaron compramos")
_FAILING = words_of(
    """failing dying dead dim dimming flickering shot bad burning burned old out done failed yellowing yellow blinking strobing
    quitting dropping fallando fallan muertos muertas viejos viejas parpadean parpadeando"""
)
_BEING = words_of("are is were r keep keeps started start have been estan son ya all already currently")
_THESE = words_of(
    "ones these they those existing fixtures lights current heads units those old viejas viejos actuales existentes esos esas"
)
_HEADS = words_of("existing current currently have now today present actual existente")
_WANTING = words_of(
    "need want wants wanted to with new into quote price get install looking for go quiero necesito ocupo por a con nuevos nuevas"
)


def there_now(work: Work) -> None:
    """Make "LED" a source where the words around it say that it hangs there now."""
    for at, atom in enumerate(work.atoms):
        if (
            "family" in atom.mean
            and "led" in atom.text.split()
            and (_led_of_today(work, at) or (not _wanted(work, at) and _tells_behind(work, at)))
        ):
            name = " ".join([word for word in atom.text.split() if word != "led"])
            work.atoms[at] = atom._replace(text=name, mean={**atom.mean, "source": "LED"})
        elif ("led" in atom.mean or _led_lamps(atom)) and _put_there(work, at):
            work.atoms[at] = atom._replace(mean={"source": "LED"})
        elif "led" in atom.mean and (
            _said_before(work, at) or _told_behind(work, at) or _put_in_before(work, at)
        ):
            left = _of_those_left(work, at)
            # watts before it are those of what hangs there
            work.atoms[at] = atom._replace(
                text=atom.text if left else "led-there", mean={} if left else {"source": "LED"}
            )


_PUT = words_of(
    "put installed screwed stuck threw tossed swapped changed popped pusimos puse puso pusieron metimos cambie"
)
_OF_OURS = words_of(
    "i we they he she someone somebody tenant owner guy crew landlord maintenance electrician people ive i've we've weve already just then que"
)
_HOLD = words_of("have has got with had tienen tiene con")


def _led_lamps(atom: Atom) -> bool:
    """Whether it names LED lamps that are put into what hangs there: "LED tubes", "corn cobs"."""
    return atom.mean.get("flag") == "keep_housing" and not {"led", "leds", "cob", "cobs", "corn"}.isdisjoint(
        atom.text.split()
    )


def _put_there(work: Work, at: int) -> bool:
    """As in "I put those LEDs in", "they have LED tubes in them already": lamps that were put into what hangs there."""
    if at + 1 < len(work.atoms) and not {"family", "family_weak"}.isdisjoint(work.atoms[at + 1].mean):
        return False
    said = False
    for index in range(at - 1, max(-1, at - 7), -1):
        atom = work.atoms[index]
        if ends_clause(atom) or atom.text in (",", "new") or "want" in work.cue(index):
            break
        words = atom.text.split()
        if not _PUT.isdisjoint(words):
            return work.text_at(index - 1) in _OF_OURS and work.text_at(index - 2) not in (
                "if",
                "can",
                "should",
            )
        if not _HOLD.isdisjoint(words):
            said = True
            break
    if not said:
        return False
    for index in range(at + 1, min(len(work.atoms), at + 6)):
        atom = work.atoms[index]
        if ends_clause(atom) or atom.text == ",":
            return False
        if atom.text in ("now", "already", "ya", "ahora", "last year", "currently"):
            return True
    return False


_TODAY = words_of("existing viejos viejas existentes actuales")
_OLD = words_of("existing current old present actuales existentes viejos viejas")


def _led_of_today(work: Work, at: int) -> bool:
    """As in "20 existing 52 W LED panels": the name itself says LED, and what stands before it that they hang there."""
    for index in range(at - 1, max(-1, at - 6), -1):
        atom = work.atoms[index]
        if ends_clause(atom) or atom.text == "," or "family" in atom.mean or atom.text in _WANTING:
            break
        if atom.text in _OLD:
            return not any(work.text_at(n) in _WANTING for n in (index - 1, index - 2))
    for index in range(at + 1, min(len(work.atoms), at + 6)):
        atom = work.atoms[index]
        if ends_clause(atom) or atom.text == "," or "family" in atom.mean or "join" in atom.mean:
            return False
        if atom.text in _TODAY:
            # "20 LED panels 50 W existing"; "for existing ceiling" says it of the ceiling
            after = index + 1
            return (
                after >= len(work.atoms)
                or work.atoms[after].kind in ("s", "b")
                or "join" in work.atoms[after].mean
                or work.text_at(after) in ("in", "at", "on", "over", "now", "today", "en")
            ) and work.text_at(index - 1) not in ("for", "para", "in", "en", "on")
    return False


def in_exchange(work: Work) -> None:
    """Read "x led" as what is put up instead: "cambiar 10 campanas de 400 watts x led"."""
    for at in range(1, len(work.atoms) - 1):
        led = work.atoms[at + 1]
        if work.text_at(at) == "x" and "led" in led.mean and work.atoms[at - 1].kind != "n":
            work.atoms[at] = work.atoms[at]._replace(kind="w", mean={})
            work.atoms[at + 1] = led._replace(mean={"es": True, "cue": frozenset({"want"})})


_THEY = words_of("they theyre they're those these that thats it its esos esas ya")


def _of_those_left(work: Work, at: int) -> bool:
    """As in "skip the wall packs, they're LED already": said of types that are taken away or let be."""
    index = at - 1
    while index >= 0 and work.text_at(index) in _BEING:
        index -= 1
    if work.text_at(index) not in _THEY or work.text_at(index - 1) not in (
        ",",
        ".",
        ";",
        "-",
        "since",
        "because",
        "bc",
    ):
        return False
    named = False
    for back in range(index - 2, max(-1, index - 10), -1):
        if work.atoms[back].kind in ("n", "b"):
            return False
        named = named or not {"family", "pointer", "family_weak"}.isdisjoint(work.atoms[back].mean)
        if "remove" in (work.has(back, "action") or ()) or work.text_at(back) in ("skip", "leave", "ignore"):
            return named
    return False


def _said_before(work: Work, at: int) -> bool:
    """As in "the old ones are LED already"."""
    after = work.text_at(at + 1)
    if (after in ("already", "ya") and work.text_at(at - 1) not in _WANTING) or (
        after == "now" and work.text_at(at - 1) in _BEING
    ):
        return True
    for index in range(at - 1, max(-1, at - 7), -1):
        # as in "Existing: 2x2 troffer LED 45W"
        if work.atoms[index].kind == "b" or work.text_at(index) in (".", ";") or "want" in work.cue(index):
            break
        if work.text_at(index) == ":" and (
            "existing" in work.cue(index - 1) or work.text_at(index - 1) in _HEADS
        ):
            return True
    first = at - 1
    while first >= 0 and work.text_at(first) in _BEING:
        first -= 1
    return (
        first < at - 1
        and work.text_at(first) in _THESE
        and (
            "old" in work.text_at(first - 1)
            or "existing" in work.cue(first)
            or "existing" in work.cue(first - 1)
        )
    )


def _put_in_before(work: Work, at: int) -> bool:
    """As in "we put in 60w LED wall packs in 2015"."""
    index = at - 1
    while index >= 0 and (work.atoms[index].kind == "n" or work.unit(index) == "w"):
        index -= 1
    words: list[str] = []
    for n in range(max(0, index - 2), index + 1):
        if work.atoms[n].kind in ("s", "b", "n"):
            words = []
        else:
            words += work.text_at(n).split()
    if words[-1:] in (["in"], ["up"]):
        words.pop()
    if any(
        work.text_at(n) in ("if", "once", "when", "should", "si") for n in range(max(0, index - 5), index)
    ):
        return False  # "if we put 8 LED wall packs there"
    return len(words) > 1 and words[-1] in _PUT_UP and words[-2] in _THEN and _WANTING.isdisjoint(words[:-1])


def _told_behind(work: Work, at: int) -> bool:
    """As in "LED floods from 2012", "LED high bays that are failing"."""
    if _wanted(work, at):
        return False
    noun = next(
        (
            n
            for n in range(at + 1, min(at + 4, len(work.atoms)))
            if not {"family", "family_weak", "generic"}.isdisjoint(work.atoms[n].mean)
        ),
        None,
    )
    return noun is not None and _tells_behind(work, noun)


def _wanted(work: Work, at: int) -> bool:
    return any(work.text_at(n) in _WANTING or "want" in work.cue(n) for n in range(max(0, at - 3), at))


def _tells_behind(work: Work, noun: int) -> bool:
    """Whether what is told behind a luminaire word says that it hangs there now."""
    index = noun + 1
    while work.is_number(index) or work.unit(index) == "w":
        index += 1
    said = index
    for _ in range(3):
        if work.text_at(said) in _THEN:
            said += 1
    words = work.text_at(said).split()
    if said > index and words and words[0] in _DONE:
        return True  # "that we put in"
    if len(words) > 1 and words[0] in _THEN and words[1] in _DONE:
        return True  # "we got in 2014"
    if words[:1] in (["put"], ["installed"], ["hung"]) and work.text_at(said + 1) in (
        "in",
        "up",
        "back",
        "around",
        "about",
    ):
        return True
    if (
        work.text_at(index) in ("from", "de", "del")
        and index + 1 < len(work.atoms)
        and work.atoms[index + 1].kind in ("x", "n")
    ):
        return True
    if (
        work.atoms[index : index + 1]
        and work.atoms[index].kind == "x"
        and work.text_at(index) in ("from", "installed", "since")
    ):
        return True  # the year is masked with the word before it
    being = index
    while being < len(work.atoms) and not ends_clause(work.atoms[being]) and being < index + 5:
        text = work.text_at(being)
        if text in _FAILING or (
            "existing" in work.cue(being) and text in ("failing", "failed", "dead", "old")
        ):
            return being > index and any(work.text_at(n) in _BEING for n in range(index, being))
        being += 1
    return False

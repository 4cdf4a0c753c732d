"""The reader: one message in, all that it says out."""

from bot.reading.atoms import atomise
from bot.reading.clause import Work
from bot.reading.hours import read_hours
from bot.reading.lines import led_asked, said_of, settle
from bot.reading.message import Message, Passage, Said
from bot.reading.money import read_money, read_payback
from bot.reading.roles import Roles
from bot.reading.search import search
from bot.reading.strangers import strangers
from bot.reading.text import MAX_BYTES, check, fold
from bot.reading.tokens import tokenise


def read_message(
    text: str, *, asked: str | None = None, in_conversation: bool = False, max_bytes: int | None = MAX_BYTES
) -> Message:
    """Read one message.

    Args:
        text: as sent.
        asked: path of the slot that our preceding question was about.
        in_conversation: there is a job already that the message may be about.
        max_bytes: the longest text that is read [bytes of UTF-8]; ``None`` lifts the bound.

    Raises:
        TextTooLong: the text is longer than ``max_bytes``.
        NotText: the text is no text.
    """
    check(text, max_bytes)
    folded = fold(text)
    atoms = atomise(tokenise(folded), strangers(folded))
    work = Work(text, folded, atoms, bytearray(len(atoms)))
    for index, atom in enumerate(atoms):
        if "job_po" in atom.mean:
            start, end = atom.mean["job_po"]
            work.job["po"] = Said(text[start:end], start, end, rule="po")
            work.used[index] = 1
    read_payback(work)
    read_hours(work)
    read_money(work)
    mentions = Roles(work).run()
    found = search(mentions)
    index_of = {id(mention): index for index, mention in enumerate(mentions)}
    groups = [said_of(group, found, index_of) for group in found.groups]
    for slots in groups:
        led_asked(slots)
    groups = settle(groups)
    passages = []
    for slots in groups:
        public = {slot: said for slot, said in slots.items() if not slot.startswith("_")}
        if public:
            passages.append(Passage("state", public))
    if "metric" in work.flags:
        first, last = work.flags["metric"]
        work.job["metric"] = Said(True, atoms[first].start, atoms[last].end, rule="metres")
    return Message("quote", tuple(passages), work.job, faults=tuple(work.faults))

"""The reader: one message in, all that it says out."""

from bot.reading.added import added_by_name, more_of_another
from bot.reading.again import counts_ignored, values_taken_back
from bot.reading.anew import told_anew
from bot.reading.answers import Asked, answer
from bot.reading.apart import parts_of, parts_of_one
from bot.reading.area_heads import area_heads, heads_again
from bot.reading.arrow_counts import arrow_counts
from bot.reading.as_many_there import as_many_there
from bot.reading.atoms import Atom, atomise
from bot.reading.beforehand import prepare, read_cap
from bot.reading.behind import counts_behind
from bot.reading.bounds import within_bounds
from bot.reading.bracketed_lamps import bracketed_lamps
from bot.reading.by_turns import by_turns, may_deal
from bot.reading.clause import Work
from bot.reading.clearances import set_clearances_aside
from bot.reading.commands import command_of, job_called
from bot.reading.contrasts import contrasts
from bot.reading.corrections import amend, only_asked, turned
from bot.reading.counted_again import counted_again
from bot.reading.counted_lamps import counted_lamps
from bot.reading.cue_words import mended, with_sent_places
from bot.reading.dealing_asides import asides
from bot.reading.denied import denied
from bot.reading.dialog import passages_in_conversation, reply_of
from bot.reading.each_place import at_each_place
from bot.reading.edits import Edits, blanked_edits, edits_of, shifted
from bot.reading.foreign import set_aside
from bot.reading.gone import once_counted, past_lamps
from bot.reading.grand_totals import grand_totals
from bot.reading.headed_items import headed_items
from bot.reading.hearsay import hearsay
from bot.reading.held_units import held_units
from bot.reading.hours import INDOORS, read_hours
from bot.reading.inside import lamps_inside
from bot.reading.intents import (
    Features,
    asks_layout,
    asks_saving,
    asks_what_it_comes_to,
    handoff_reason,
    intent_of,
    without_excuse,
)
from bot.reading.landmarks import landmarks
from bot.reading.late import Late
from bot.reading.led_now import in_exchange, there_now
from bot.reading.leftovers import SHORT, building, free_lost, language, unread, unused_amounts
from bot.reading.let_be import let_be
from bot.reading.lines import describe, public
from bot.reading.lone_numbers import lone_watts
from bot.reading.mail import own_words, without_subjects
from bot.reading.meant_behind import meant_behind
from bot.reading.mentions import Mention
from bot.reading.message import ASKED_OF_LIGHT, Known, Message, Passage, Said, Scope
from bot.reading.money import read_money, read_payback
from bot.reading.naming import with_labels
from bot.reading.no_just_the import no_just_the
from bot.reading.numbered_places import numbered_places
from bot.reading.of_them import of_them
from bot.reading.only_these import only_these
from bot.reading.packed import packed
from bot.reading.padding import unpadded
from bot.reading.part_year import part_year
from bot.reading.parties import read_needed_by, read_parties
from bot.reading.partitions import partitions
from bot.reading.place_numbers import place_numbers
from bot.reading.places import PlaceReader
from bot.reading.put_right import put_right_last, where_it_was
from bot.reading.questions import asked_only
from bot.reading.referents import refer
from bot.reading.remainders import remainders
from bot.reading.replaced import in_place, wanted
from bot.reading.roles import Roles
from bot.reading.room_words import room_words
from bot.reading.rows import RowReader
from bot.reading.said_instead import said_instead
from bot.reading.scopes import plan
from bot.reading.settled_ranges import settled_ranges
from bot.reading.sharing import share
from bot.reading.short_words import short_words
from bot.reading.singled_out import singled_out
from bot.reading.smalltalk import chat
from bot.reading.spaced import as_sent, single_spaced
from bot.reading.spreading import spread
from bot.reading.stops import legend, marks_in_brackets, number_list, outright, part_stops, part_withs
from bot.reading.strangers import strangers
from bot.reading.supply import supply_of_all
from bot.reading.table import find_tables
from bot.reading.takebacks import in_turn, taken_back
from bot.reading.tallies import tallies
from bot.reading.text import MAX_BYTES, check, fold, mend_digits
from bot.reading.tokens import tokenise
from bot.reading.told_later import told_later
from bot.reading.unsure import doubted

_LACKING = Late(
    r"(?<![a-z])(?P<has>(?:they |these |those |it |the lights |we )?(?:dont|don't|doesnt|doesn't|do not|does not|never|no) (?:currently |really )?(?:have|had|got|tienen)(?: any)?|no tienen) (?=[a-z ]{3,24} (?:now |yet |today )?(?:but|and) (?:we|i|they|id|i'd|we'd|would) (?:want|need|would like|like|should|d like))"
)
"""What is not there now and is wanted: "they don't have sensors but we want them"."""
_STATELESS = frozenset({"explain", "status", "greet", "other", "compare"})


def desk(text: str, folded: str, known: Known | None = None, rooms: bool = True) -> Work:
    """The atoms of a folded text, ready to be read; ``known`` tells the places that are no numbered rooms, if there are any ``rooms``."""
    masks = strangers(folded) if rooms else []
    if masks and known is not None and any(known.labels):
        masks = [mask for mask in masks if not _counts_there(folded[: mask[1]], known)]
    atoms: list[Atom] = outright(legend(part_stops(part_withs(atomise(tokenise(folded), masks)), text)))
    atoms = held_units(arrow_counts(settled_ranges(atoms, folded), folded), folded)
    atoms = room_words(heads_again(area_heads(short_words(atoms), folded), folded), folded)
    atoms = of_them(headed_items(no_just_the(meant_behind(atoms, folded), folded), folded), folded)
    if ";" in folded and "(" in folded:
        marks_in_brackets(atoms)
    if ") (" in folded or ")(" in folded:
        atoms = bracketed_lamps(atoms)
    if known is None:
        supply_of_all(atoms)
    number_list(atoms)
    if rooms:
        place_numbers(atoms)
        numbered_places(atoms)
    turned(atoms)
    told_anew(atoms)
    work = Work(text, folded, atoms, bytearray(len(atoms)))
    for index, atom in enumerate(atoms):
        if "job_po" in atom.mean:
            start, end = atom.mean["job_po"]
            work.job["po"] = Said(atom.mean.get("said", text[start:end]), start, end, rule="po")
            work.used[index] = 1
    return work


def _counts_there(folded: str, known: Known) -> bool:
    """Whether a number behind a place that a type goes by may count what is there: "make the wood shop 16"."""
    place = folded.rstrip("0123456789")
    return (
        place != folded
        and place.endswith(" ")
        and any(place.endswith(f"the {label} ") for labels in known.labels for label in labels)
    )


def which_job(folded: str) -> int | None:
    """Which earlier job "back to the first one" means: 0 the first; ``None`` the one before this."""
    return 0 if any(word in folded for word in ("first", "1st", "primer", "original")) else None


def _types_named(text: str, at: int, known: Known | None) -> Scope | None:
    """Which types of the job the words name, as the reader reads them in any sentence; ``at`` is where they begin."""
    passages = read_message(text, in_conversation=True, known=known, whole=True).passages
    if len(passages) != 1:
        return None
    scope, slots = passages[0].scope, passages[0].slots
    if scope is None and slots.keys() == {"family"}:
        said = slots["family"]
        scope = Scope("family", said.start, said.end, families=(said.value,))
    return shifted(scope, at) if scope is not None else None


def dealt_by_turns(text: str, known: Known, least: int = 2) -> Message | None:
    """A message that does nothing but deal values to the types of the job, in so many clauses at least."""
    folded = fold(text)
    if not may_deal(folded):
        return None
    work = desk(text, folded, known, rooms=False)
    passages = by_turns(work, known, least)
    if passages is None:
        return None
    told_in = language(work)
    return Message("revise", tuple(passages), language=told_in or "en", language_shown=told_in is not None)


def dealing_asides(text: str) -> list[tuple[int, int, int]]:
    """Where a first message may deal values to the types that the rest of it describes: (start, end, fewest clauses)."""
    folded = fold(text)
    return asides(desk(text, folded, rooms=False)) if len(folded) == len(text) else []


def _named(passage: Passage, known: Known) -> bool:
    """Whether a passage names the types that it is about, and they are there or described."""
    scope = passage.scope
    if scope is None:
        return "family" in passage.slots and "qty" in passage.slots
    if scope.kind in ("others", "all"):
        return bool(passage.slots)
    if scope.kind not in ("family", "ordinal") or not (
        passage.slots or passage.action != "change" or passage.times
    ):
        return False
    return not scope.families or not known.families.isdisjoint(scope.families)


def _begins(passage: Passage) -> int:
    """The first character of what a passage says."""
    starts = [said.start for said in passage.slots.values()]
    if passage.scope is not None and passage.scope.end > 0:
        starts.append(passage.scope.start)
    return min(starts, default=0)


def _blank(folded: str, start: int, end: int) -> str:
    return folded[:start] + "\n" + " " * (end - start - 1) + folded[end:] if end > start else folded


def read_message(
    text: str,
    *,
    asked: str | None = None,
    in_conversation: bool = False,
    max_bytes: int | None = MAX_BYTES,
    known: Known | None = None,
    whole: bool = False,
) -> Message:
    """Read one message.

    Args:
        text: as sent.
        asked: path of the slot that our preceding question was about.
        in_conversation: there is a job already that the message may be about.
        max_bytes: the longest text that is read [bytes of UTF-8]; ``None`` lifts the bound.
        known: what that job says already; it settles what a bare number or a lone word is about.
        whole: the text is part of a message that was cut already.

    Raises:
        TextTooLong: the text is longer than ``max_bytes``.
        NotText: the text is no text.
    """
    check(text, max_bytes)
    folded = own_words(mend_digits(fold(text)))
    tables = find_tables(folded)
    if "  " in folded and not tables and (kept := single_spaced(fold(text))) is not None:
        narrow = "".join([text[index] for index in kept])
        return as_sent(
            read_message(
                narrow,
                asked=asked,
                in_conversation=in_conversation,
                max_bytes=max_bytes,
                known=known,
                whole=whole,
            ),
            kept,
            len(text),
        )
    if (
        in_conversation
        and asked is None
        and not whole
        and known is not None
        and len(known.lines) > 1
        and not tables
        and (dealt := dealt_by_turns(text, known)) is not None
    ):
        return dealt
    if (put_right := mended(text, folded) or said_instead(text, folded)) is not None:
        better, kept = put_right
        return with_sent_places(
            read_message(
                better, asked=asked, in_conversation=in_conversation, max_bytes=None, known=known, whole=whole
            ),
            kept,
            text,
        )
    if in_conversation and asked is None and not whole and known is not None and known.lines and not tables:

        def read(start: int, end: int) -> Message:
            return read_message(text[start:end], in_conversation=True, known=known, whole=True)

        if len(known.lines) > 1:
            parts = parts_of(folded, read, lambda passage: _named(passage, known))
        else:
            parts = parts_of_one(folded, read)
        if parts is not None:
            return parts
    prose = folded
    rows: list[dict[str, Said]] = []
    job: dict[str, Said] = {}
    for table in tables:
        reader = RowReader(text, folded, table)
        rows.extend(reader.read())
        job.update(reader.job)
        prose = _blank(prose, table.start, table.end)
    light, sent = None, prose
    if asks_layout(prose) or (asked or "").startswith(ASKED_OF_LIGHT):
        # only such a question pays for the words of light
        from bot.reading.asked_light import asked_of_light, blanked

        light = asked_of_light(prose)
        prose = blanked(prose, light)
    edits: Edits | None = None
    if in_conversation:
        edits = edits_of(
            unpadded(prose).rstrip(" "), known, lambda start, end: _types_named(text[start:end], start, known)
        )
        if edits is not None:
            prose = blanked_edits(prose, edits.spans)
    if in_conversation and (void := counts_ignored(prose)):
        prose = blanked_edits(prose, void)
    if not in_conversation and (aside := values_taken_back(prose)):
        prose = blanked_edits(prose, aside)
    if asked is not None and in_conversation and (excuse := without_excuse(prose)) is not None:
        rest = text[: excuse[0]] + "\n" + " " * (excuse[1] - excuse[0] - 1) + text[excuse[1] :]
        beside = read_message(rest.strip(), in_conversation=True, known=known)
        if beside.passages or beside.job:
            prose = blanked_edits(prose, [excuse])  # "let me check. also make it 20"
    lacking = _LACKING.search(prose)
    if lacking is not None:
        prose = blanked_edits(prose, [lacking.span("has")])
    told = unpadded(prose) if in_conversation or asked is not None else prose
    work = desk(text, told, known if in_conversation else None)
    question = Asked(asked)
    command, _opened = command_of(work)
    called = job_called(work, known) if in_conversation else None
    if called is not None and command in (None, "previous_job"):
        command = "previous_job"
        for index, atom in enumerate(work.atoms):
            if called[1] <= atom.start < called[2] and atom.kind != "b":
                work.used[index] = 1
        # what is said there is about the other job, and its own words point at no line of this one
        work.atoms = [
            a._replace(kind="s", text=",", mean={}) if called[1] <= a.start < called[2] else a
            for a in work.atoms
        ]
    if edits is not None:
        command = command or edits.command
    hearsay(work)
    read_payback(work)
    read_parties(work)
    read_needed_by(work, question.slot == "needed_by")
    if in_conversation and known is not None:
        if "demand_rate_per_kw" in known.job:
            work.flags["demand"] = True
        if not INDOORS.isdisjoint(known.families):
            work.flags["indoors"] = True
    if question.slot == "schedule":
        work.flags["asked_hours"] = True
        hours = None if known is None else known.job.get("schedule")
        work.flags["asked_days"] = isinstance(hours, dict) and hours.keys() == {"hours_per_day"}
    read_hours(work)
    part_year(work)
    read_money(work)
    read_cap(work)
    PlaceReader(work, question.slot == "place").run()
    job.update(work.job)
    work.job = job
    if "led" in prose or "cob" in prose:
        there_now(work)
        in_exchange(work)
    if work.speaks_of("unit:lamps", "generic"):
        counted_lamps(work)
    conversing = in_conversation and command != "new_job"
    if not conversing and work.speaks_of("source"):
        past_lamps(work)
    if not conversing:
        once_counted(work)
        contrasts(work)
    if conversing:
        prepare(work, known)
        if asked is None:
            put_right_last(work, known)
            lone_watts(work, known)
    if not conversing and len(work.numbers) > 1:
        as_many_there(work)
    if not conversing and len(work.numbers) > 2:
        counted_again(work)
    worked_out = packed(work) + ([] if conversing else grand_totals(work)) + remainders(work)
    shares = [] if conversing else partitions(work)
    work.flags["tallies"] = [*worked_out, *shares, *tallies(work)]
    if asked is None and len(work.numbers) > 1:
        set_clearances_aside(work)
    landmarks(work)
    set_aside(work, conversing or asked is not None)
    if conversing and asked is None:
        chat(work, known)
    if not conversing:
        singled_out(work)
    mentions: list[Mention] = only_asked(
        work,
        denied(
            work, amend(work, Roles(work, conversing=conversing, known=known).run(), conversing), conversing
        ),
    )
    if not conversing and asked is None:
        mentions = counts_behind(work, mentions)
    mentions = lamps_inside(work, mentions)
    if asked is None:
        mentions = in_place(work, mentions)
    if not conversing and asked is None:
        mentions = wanted(work, mentions)
        mentions = spread(work, refer(work, told_later(work, let_be(work, mentions))))
    answered: list[Passage] = []
    asking = asked_only(prose) if conversing and asked is None else []
    if asking and light is not None:
        asking = []
    if asking:
        mentions = [m for m in mentions if not any(start <= m.start < end for start, end in asking)]
    if asked is not None:
        answered, mentions = answer(work, question, mentions)
    if rows:
        work.flags["rows"] = [row["family"].value for row in rows if "family" in row]
    stretches = plan(work, mentions, conversing, question.slot)
    stretches = share(stretches, prose)
    passages = describe(stretches, rows, work, conversing)
    if conversing:
        passages = in_turn(mentions, known) or where_it_was(
            work,
            taken_back(work, passages_in_conversation(work, passages, question, known), known),
            known,
        )
        if asked is None:
            passages = only_these(told, added_by_name(told, passages, known), known)
    else:
        passages = with_labels(at_each_place(work, passages), prose)
    if not conversing and len(passages) > 1:
        passages = without_subjects(folded, passages)
    passages = [*answered, *passages]
    if edits is not None:
        work.job = {**edits.job, **work.job}
    if edits is not None and edits.passages:
        passages = sorted([*passages, *edits.passages], key=_begins)
    if conversing and asked is None and passages:
        passages = more_of_another(passages, known)
    if "metric" in work.flags:
        first, last = work.flags["metric"]
        work.job["metric"] = Said(True, work.atoms[first].start, work.atoms[last].end, rule="metres")
    elif light is not None and light.metric is not None:
        work.job["metric"] = Said(True, *light.metric, rule="lux")
    told_in = language(work)
    spoken = told_in or "en"
    passages, faults = within_bounds(passages, work, spoken)
    counted = any(
        "qty" in passage.slots
        and ("family" in passage.slots or "size" in passage.slots or len(public(passage.slots)) > 2)
        for passage in passages
    )
    features = Features(
        lines=sum(
            1
            for passage in passages
            if passage.slots
            or (
                passage.action != "state"
                and (conversing or passage.scope is None or passage.scope.kind == "family")
            )
        ),
        counted=counted,
        trade=bool(passages)
        or any("family" in atom.mean or "source" in atom.mean or "led" in atom.mean for atom in work.atoms),
        job=bool(set(work.job) - {"metric", "po", "place", "needed_by"})
        or (bool(work.job) and in_conversation),
        question="?" in text,
        in_conversation=in_conversation,
        asked=asked is not None,
        command=command in ("undo", "start_over", "previous_job") and (in_conversation or not counted),
        action=edits is not None or any(passage.action == "remove" for passage in passages),
        added=any(
            passage.action in ("add", "copy")
            or (passage.action == "state" and "qty" in passage.slots and "family" in passage.slots)
            for passage in passages
        ),
        answered=bool(answered) or work.flags.get("yes_no", False) or question.filled(passages, work.job),
        unsure=work.flags.get("unsure", False),
    )
    intent = intent_of(sent, features)
    if asked is not None and intent == "other" and features.lines and not features.unsure and not asking:
        intent = "revise"
    if edits is not None and intent in ("accept", "other", "greet", "compare", "explain"):
        intent = "revise"
    if (
        asking
        and intent in ("quote", "revise")
        and not (intent == "quote" and (asks_saving(sent) or asks_what_it_comes_to(sent)))
    ):
        work.job = {
            slot: said
            for slot, said in work.job.items()
            if not any(start <= said.start < end for start, end in asking)
        }
        if not work.job and not any(passage.slots or passage.action != "change" for passage in passages):
            intent = "other"
    if command == "new_job" and intent in ("revise", "other"):
        intent = "quote"
    if not conversing and asked is None:
        free_lost(work, mentions, passages)
    left = unread(work)
    if conversing and len(work.atoms) <= SHORT:
        left = tuple(sorted({*left, *unused_amounts(work, passages)}))
    if intent in _STATELESS:
        passages, work.job = [], {}
    passages, work.job, risk = doubted(work, passages, work.job, conversing, spoken)
    return Message(
        intent,
        tuple([passage.with_slots(public(passage.slots)) for passage in passages]),
        work.job,
        command,
        unread=left,
        faults=faults,
        building=building(work),
        language=spoken,
        language_shown=told_in is not None,
        reason=handoff_reason(sent) if intent == "handoff" else "",
        asked=asked,
        reply=reply_of(work, question) if in_conversation or asked else None,
        which_job=called[0]
        if called is not None and command == "previous_job"
        else which_job(prose)
        if command == "previous_job"
        else None,
        risk=risk,
    )

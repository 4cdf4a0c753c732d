"""The desk on which one message changes one job: what each of its passages is about."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Final

from bot.conversation.line_rows import Row, Rows
from bot.conversation.scope import Named, lines_named, value_of, with_labels
from bot.conversation.short_answers import Asked, take_reply
from bot.conversation.state import JobState
from bot.reading.fitting import contradicts, near_families
from bot.reading.message import Message, Passage, Said, Scope
from engine.request import Context

KIND_SLOTS: Final = ("source", "watts", "size", "lamp_feet")
"""Two lines of one family that differ in these are two types."""
_NAMING: Final = ("family", "source", "watts", "size")
"""Slots by which a removed type may be named."""
_OPENING: Final = frozenset({"qty", "led_watts", *_NAMING})
"""Slots of which an added passage must have one to be a type of its own and not a change."""
_RECOGNISED_BY: Final = frozenset({"source", "watts", "size", "height_ft", "lamp_feet", "led_watts"})
"""Slots by whose value a writer points at lines."""
_OTHER_HOURS: Final = "two types burn different hours"
_POLES: Final = "poles may be said of the lot alone"
_A_TYPE: Final = _OPENING - {"family"}
"""Slots that say enough of a family that is not there to make it a new line."""


class Desk:
    """Takes one message and changes one job by it.

    Attributes:
        rows: the lines as they become.
        slots: the job's slots as they become.
        message, asked: what is taken, and the slot that was asked about.
        stated: job slots that the message set.
    """

    def __init__(self, job: JobState, message: Message, turn: int, earlier: Sequence[JobState] = ()) -> None:
        self.message = message
        self.asked = Asked.of(message.asked)
        self.rows = Rows(job, turn)
        self.slots = dict(job.slots)
        self.stated: set[str] = set()
        self._job = job
        self._earlier = earlier

    def take_all(self) -> None:
        """The whole message."""
        for slot, said in self.message.job.items():
            self._take_job_slot(slot, said)
        gone: list[Scope] = []
        for passage in self.message.passages:
            if passage.action == "remove":
                where = None if passage.scope is None else replace(passage.scope, start=0, end=0)
                if where is not None and where.kind == "family" and not passage.slots:
                    if where in gone:
                        continue  # "the annex is off, forget the annex"
                    gone.append(where)
                self._remove(passage)
            elif passage.action == "copy" and self.rows.old:
                self._copy(passage)
            elif passage.action == "add" and self.rows.old:
                self._add(passage)
            elif passage.action == "split" and self.rows.old:
                self._split(passage)
            elif passage.action in ("swap", "move"):
                self._between(passage)
            elif passage.action == "restore":
                self._restore(passage)
            elif passage.action == "revert":
                self._revert(passage)
            elif passage.times and self.rows.old:
                self._multiply(passage)
            else:
                self._tell(passage)
        take_reply(self)

    def result(self) -> JobState:
        """The job as it has become."""
        building = self.message.building
        context = self._job.context if building is None else Context(building=building)
        lines, touched, last = self.rows.lines()
        return JobState(self.slots, lines, context, touched, last)

    def _take_job_slot(self, slot: str, said: Said) -> None:
        before = self.slots.get(slot)
        if said.value is None:
            self.slots.pop(slot, None)
            return
        value = _joined(slot, said.value, None if before is None else before.value)
        new = self.rows.held("job", slot, said, value)
        told_again = slot == "schedule" and before is not None and before.value != value
        if new is not None and before is not None and told_again and not new.others and self._of_one_type():
            new = replace(new, others=(before.value,), why=_OTHER_HOURS, margin=1.0)
        if new is not None:
            self.slots[slot] = new
            self.stated.add(slot)

    def _of_one_type(self) -> bool:
        """Whether the message adds a type, or speaks of some only: hours told there may be theirs alone."""
        there = {value_of(line, "family") for line in self._job.lines}
        for passage in self.message.passages:
            family = passage.slots.get("family")
            if passage.action in ("add", "state") and family is not None and "qty" in passage.slots:
                return bool(there - {family.value})
            if passage.scope is not None and passage.scope.kind == "family":
                return bool(there - set(passage.scope.families))
        return False

    def _tell(self, passage: Passage) -> None:
        """A passage that states or changes."""
        scope = passage.scope or self._place_as_scope(passage)
        if scope is not None:
            rows = self.rows.named(scope)
            if not rows and scope.kind == "others":
                rows = _lacking(self.rows.old, passage)
            if rows and passage.too and not passage.slots and self._only_removed():
                self.rows.remove(rows)  # "drop the floods", "and the bollards too"
            elif rows and passage.too and not passage.slots:
                self.rows.carry_over(rows)
            elif rows:
                rows = _recognised(rows, passage) if scope.kind == "family" else rows
                self.rows.settle_guess(rows, passage)
                if posts := _post_tops(scope, rows):
                    self.rows.change(posts, _perhaps(passage, posts), scoped=True)
                    self.rows.change([row for row in rows if row not in posts], passage, scoped=True)
                    self.rows.touch(rows)
                else:
                    self.rows.change(rows, passage, explicit=scope.kind == "all", scoped=True)
                self.rows.name(rows, scope)
            elif (
                passage.action == "state" and scope.kind == "family" and not _A_TYPE.isdisjoint(passage.slots)
            ):
                self.rows.append(passage, scope)
            elif scope.size and self._lacks_size():
                # "25 gabinetes T8", then "2x4": the type that there is has that size
                said = Said(scope.size, scope.start, scope.end, rule="size told later")
                told = {**passage.slots, "size": said}
                if "family" not in self.rows.old[0].slots:
                    kind = scope.families[0] if scope.families else "troffer"  # as of "30 2x4s" in one breath
                    told["family"] = Said(kind, scope.start, scope.end, rule="size told later")
                self.rows.change(self.rows.old, replace(passage, slots=told, scope=None), scoped=True)
            else:
                self.rows.lose(scope, passage)
        elif not self.rows.old:
            self.rows.append(passage)
        elif rows := self._asked_for(passage):
            self.rows.change(rows, passage, explicit=True, scoped=True)
        elif "family" in passage.slots:
            self._describe(passage)
        else:
            self._describe_nameless(passage)

    def _lacks_size(self) -> bool:
        """Whether the only type is of a kind that has sizes, or of none yet, and no size was said."""
        rows = self.rows.old
        return (
            len(rows) == 1
            and "size" not in rows[0].slots
            and value_of(rows[0], "family") in (None, "troffer", "panel")
        )

    def _only_removed(self) -> bool:
        """Whether the change before this message did nothing but take types away."""
        before, now = self._earlier[0] if self._earlier else None, self._job
        if before is None or len(before.lines) <= len(now.lines):
            return False
        return before.slots == now.slots and all(
            any(line.slots == old.slots for old in before.lines) for line in now.lines
        )

    def _place_as_scope(self, passage: Passage) -> Scope | None:
        """The place alone as a scope ("the back ones are lower") where the reader gave no other."""
        if not passage.labels or "family" in passage.slots or "qty" in passage.slots:
            return None
        if not with_labels(passage.labels, self.rows.all):
            return None
        start = min((said.start for said in passage.slots.values()), default=0)
        return Scope("family", start, start, labels=passage.labels)

    def _asked_for(self, passage: Passage) -> list[Row]:
        """The rows that were asked about, where the passage answers."""
        if self.asked.slot not in passage.slots:
            return []
        rows = self.asked.rows(self.rows.all)
        said_family = passage.slots.get("family")
        if said_family is None or self.asked.slot == "family":
            return rows
        families = near_families((said_family.value,)) | {None}
        return [row for row in rows if value_of(row, "family") in families]

    def _describe(self, passage: Passage) -> None:
        """A passage that names a family: a type that is there already, or a new one."""
        said = _values(passage)
        old = self.rows.old
        same = [row for row in old if value_of(row, "family") == said["family"]]
        if not same and passage.action == "change":
            near = near_families((said["family"],))
            same = [row for row in old if value_of(row, "family") in near] or (old if len(old) == 1 else [])
        if passage.labels and (labelled := with_labels(passage.labels, same)):
            same = [same[i] for i in labelled]
        elif passage.labels and "qty" in said and any(row.labels for row in same):
            same = []
        fitting = [row for row in same if not contradicts(said, row.values(), KIND_SLOTS)]
        if not fitting and len(same) == 1 and said.get("qty") in (None, value_of(same[0], "qty")):
            fitting = same
        if fitting:
            self.rows.change(_nearest(fitting, said) if "qty" in said else fitting, passage, scoped=True)
        elif passage.action == "change" and "qty" not in said:
            self.rows.lose(None, passage)
        else:
            self.rows.append(passage)

    def _describe_nameless(self, passage: Passage) -> None:
        """A passage without a family and without a scope: a change of what is there, or a type that has no name."""
        said, old = _values(passage), self.rows.old
        a_type = passage.action == "state" and "qty" in said and not said.keys().isdisjoint(KIND_SLOTS)
        if not a_type or len(old) < 2:
            rows = _recognised(self.rows.all, passage)
            self.rows.change(rows, passage, scoped=len(rows) < len(self.rows.all))
            return
        fitting = [row for row in old if not contradicts(said, row.values(), KIND_SLOTS)]
        if fitting:
            self.rows.change(_nearest(fitting, said), passage, scoped=True)
        else:
            self.rows.append(passage)

    def _add(self, passage: Passage) -> None:
        """More of what is there, something on what is there, or a new type."""
        said = _values(passage)
        if (passage.scope is not None and not passage.more) or said.keys().isdisjoint(_OPENING):
            self._tell(Passage("change", passage.slots, passage.scope, passage.labels, same=passage.same))
            return
        if "qty" not in said and "family" in said and _A_TYPE.isdisjoint(said) and len(said) > 1:
            there = [row for row in self.rows.old if value_of(row, "family") == said["family"]]
            if there and passage.scope is None and not passage.labels and not passage.same:
                # "also packs at 12 ft": something on what is there
                self.rows.change(there, passage, scoped=True)
                return
        alike = self.rows.named(passage.scope) if passage.scope is not None else self.rows.old
        extra = [slot for slot in said if slot not in ("qty", "family")]
        alike = [
            row
            for row in alike
            if said.get("family") in (None, value_of(row, "family"))
            and all(value_of(row, slot) == said[slot] for slot in extra)
        ]
        bare = not extra and "family" in said and not passage.labels and not passage.same and len(alike) == 1
        if "qty" in said and passage.more and passage.scope is not None and passage.scope.kind == "all":
            for row in alike:
                self.rows.count_up([row], passage.slots["qty"], sure=True)
        elif "qty" in said and alike and (passage.more or bare):
            self.rows.count_up(alike, passage.slots["qty"], sure=passage.more and len(alike) == 1)
        elif passage.scope is not None:
            self.rows.lose(passage.scope, passage)
        else:
            self.rows.append(passage)

    def _copy(self, passage: Passage) -> None:
        """The same again elsewhere, with what differs."""
        originals = self.rows.old
        if passage.scope is not None:
            originals = self.rows.named(passage.scope)
        elif "family" in passage.slots:
            family = passage.slots["family"].value
            originals = [row for row in originals if value_of(row, "family") == family] or originals[-1:]
        if not originals:
            self.rows.lose(passage.scope, passage)
            return
        every = passage.scope is not None and passage.scope.kind == "all"
        if len(originals) > 1 and "qty" in passage.slots and not every:
            originals = [self.rows.latest(originals)]
        copies = [
            Row({slot: held.sure for slot, held in row.slots.items()}, passage.labels, old=False)
            for row in originals
        ]
        self.rows.extend(copies, passage)

    def _one_row(self, passage: Passage) -> Row | None:
        """The one row that a share is of: the named one, the one last spoken of, or the only one."""
        rows = self.rows.named(passage.scope) if passage.scope is not None else self.rows.touched
        rows = rows or (self.rows.old if len(self.rows.old) == 1 else [])
        return self.rows.latest(rows) if rows else None

    def _split(self, passage: Passage) -> None:
        """Some of a type become a type of their own."""
        passage = self._of_another_kind(passage)
        row = self._one_row(passage)
        there = None if row is None else value_of(row, "qty")
        said = passage.slots.get("qty")
        part = round(there * passage.times) if said is None and there is not None else said and said.value
        slots = {slot: held for slot, held in passage.slots.items() if slot != "qty"}
        if (
            row is None
            or not isinstance(part, int)
            or not isinstance(there, int)
            or part * passage.times > there
        ):
            self._tell(replace(passage, action="change", times=0.0))
        elif part == there:
            self.rows.change([row], replace(passage, action="change", slots=slots, times=0.0), scoped=True)
        elif not self.rows.count_down(row, first := Said(part, *_span(passage))):
            self._tell(replace(passage, action="change", times=0.0))
        else:
            copy = Row({slot: held.sure for slot, held in row.slots.items()}, passage.labels, old=False)
            self.rows.extend([copy], replace(passage, slots={"qty": said or first, **slots}))
            self.rows.leave(row)

    def _of_another_kind(self, passage: Passage) -> Passage:
        """As in "4 of em 100w floods", said of high bays: the type that is named is what they are, and none that is there."""
        scope = passage.scope
        if scope is None or scope.kind != "family" or not scope.families or "family" in passage.slots:
            return passage
        if any(value_of(row, "family") in scope.families for row in self.rows.all):
            return passage
        kind = Said(scope.families[0], scope.start, scope.end, rule="what some of them are")
        return replace(passage, scope=None, slots={**passage.slots, "family": kind})

    def _between(self, passage: Passage) -> None:
        """Two types change a value, or some of one are counted with the other."""
        sides = [
            rows[0] if scope is not None and len(rows := self.rows.named(scope)) == 1 else None
            for scope in (passage.scope, passage.other)
        ]
        one, two = sides
        if one is None or two is None or one is two:
            self.rows.lose(passage.scope, passage)
        elif passage.action == "swap":
            for slot in passage.slots:
                self.rows.swap(one, two, slot)
        elif self.rows.count_down(one, count := passage.slots["qty"]):
            self.rows.count_up([two], count, sure=True)
        else:
            self.rows.lose(passage.scope, passage)

    def _revert(self, passage: Passage) -> None:
        """Types are as they were before the last change, which was not meant of them."""
        scope = passage.scope
        rows = self.rows.named(scope) if scope is not None else []
        before = self._earlier[0].lines if self._earlier else ()
        if not rows or len(before) != len(self.rows.all):
            self.rows.lose(scope, passage)
            return
        for row, line in zip(self.rows.all, before, strict=True):
            if row in rows:
                row.slots = dict(line.slots)
        self.rows.touch(rows)

    def _restore(self, passage: Passage) -> None:
        """A type that went comes back as it last was, where it stood."""
        scope = passage.scope
        if scope is None:
            return
        if scope.kind == "that":
            was = self._earlier[0].lines if self._earlier else ()
            here = [row.slots for row in self.rows.all]
            for number, line in enumerate(was):
                if line.slots not in here:
                    self.rows.insert(number, Row(dict(line.slots), line.labels, old=False))
            return
        if there := [row for row in self.rows.named(scope) if _of_family(row, scope)]:
            self.rows.touch(there)
            return
        now = [row.slots for row in self.rows.all]
        for job in self._earlier:
            gone = [
                number
                for number in lines_named(scope, job.lines)
                if _of_family(job.lines[number], scope) and job.lines[number].slots not in now
            ]
            for number in gone:
                line = job.lines[number]
                self.rows.insert(number, Row(dict(line.slots), line.labels, old=False))
            if gone:
                return
        self.rows.lose(scope, passage)

    def _multiply(self, passage: Passage) -> None:
        """So many times what was there."""
        rows = self.rows.named(passage.scope) if passage.scope is not None else self.rows.touched
        many = [row for row in rows if isinstance(value_of(row, "qty"), int)]
        if not many or any(value_of(row, "qty") * passage.times % 1 for row in many):
            self.rows.lose(passage.scope, passage)
        for row in many if not any(value_of(row, "qty") * passage.times % 1 for row in many) else []:
            count = Said(int(value_of(row, "qty") * passage.times), *_span(passage), rule="so many times")
            self.rows.change([row], Passage("change", {"qty": count}), scoped=True)

    def _remove(self, passage: Passage) -> None:
        """Lines go, or some of a line's count, or a slot."""
        scope = passage.scope or _scope_of(passage)
        if scope is not None:
            rows = self.rows.named(scope)
        elif passage.slots.keys() - {"qty"}:
            # "drop the photocells": what goes is a slot, not a line.
            taken = {slot: Said(None, s.start, s.end, without=s.without) for slot, s in passage.slots.items()}
            self.rows.change(self.rows.all, Passage("change", taken))
            return
        else:
            rows = self.rows.all if len(self.rows.all) == 1 else self.rows.touched
            rows = rows if len(rows) == 1 else []
        count = passage.slots.get("qty")
        if count is not None and scope is not None and scope.kind == "that" and self.rows.went(count.value):
            return
        if not rows:
            self.rows.lose(scope, passage)
        elif count is None:
            if scope is not None and (posts := _post_tops(scope, rows)):
                rows = [row for row in rows if row not in posts]
                for row in posts:
                    if "qty" in row.slots:
                        row.slots["qty"] = replace(row.slots["qty"], others=(None,), why=_POLES, margin=1.0)
            self.rows.remove(rows)
        elif not self.rows.count_down(row := self.rows.latest(rows), count):
            if value_of(row, "qty") == count.value:
                self.rows.remove([row])
            else:
                self.rows.lose(scope, passage)


def _post_tops(scope: Scope, rows: Sequence[Row]) -> list[Row]:
    """Of what "the poles" names the post tops, where the heads of a lot stand there too: they may not be meant."""
    if not {"area", "post_top"} <= set(scope.families):
        return []
    posts = [row for row in rows if value_of(row, "family") == "post_top"]
    return posts if len(posts) < len(rows) else []


def _perhaps(passage: Passage, rows: Sequence[Row]) -> Passage:
    """The passage with a doubt on all that it says: it may leave the rows as they are."""
    slots = {
        slot: said if said.others else said.doubted((value_of(rows[0], slot),), _POLES, 1.0)
        for slot, said in passage.slots.items()
    }
    return passage.with_slots(slots)


def _of_family(line: Named, scope: Scope) -> bool:
    """Whether the line is of a family that the scope names in so many words; near ones are not meant here."""
    return not scope.families or value_of(line, "family") in scope.families


def _span(passage: Passage) -> tuple[int, int]:
    """The characters that a passage came from."""
    spans = [(said.start, said.end) for said in passage.slots.values()]
    if passage.scope is not None:
        spans.append((passage.scope.start, passage.scope.end))
    return min(spans)[0], max(end for _, end in spans)


def _values(passage: Passage) -> dict[str, Any]:
    return {slot: said.value for slot, said in passage.slots.items()}


def _scope_of(passage: Passage) -> Scope | None:
    """The scope that a removed type's own slots give."""
    said = [passage.slots[slot] for slot in _NAMING if slot in passage.slots]
    if not said:
        return None
    value = _values(passage)
    return Scope(
        "family",
        min(s.start for s in said),
        max(s.end for s in said),
        families=(value["family"],) if value.get("family") else (),
        source=value.get("source"),
        watts=value.get("watts"),
        size=value.get("size"),
        labels=passage.labels,
    )


def _recognised(rows: list[Row], passage: Passage) -> list[Row]:
    """Of several rows those that already have what is said ("the 400s get photocells"), where something is new to them."""
    known = {slot: said.value for slot, said in passage.slots.items() if slot in _RECOGNISED_BY}
    if len(rows) < 2 or not known or len(known) == len(passage.slots):
        return rows
    return [row for row in rows if all(value_of(row, slot) == value for slot, value in known.items())] or rows


def _lacking(rows: list[Row], passage: Passage) -> list[Row]:
    """The others, where all were spoken of: those that lack what is said while some have it."""
    without = [row for row in rows if passage.slots.keys().isdisjoint(row.slots)]
    return without if len(without) < len(rows) else []


def _nearest(rows: list[Row], said: dict[str, Any]) -> list[Row]:
    """Of rows that all fit, those that agree in most of what is said."""
    agreeing = [sum(value_of(row, slot) == value for slot, value in said.items()) for row in rows]
    return [row for row, count in zip(rows, agreeing, strict=True) if count == max(agreeing)]


def _joined(slot: str, value: Any, before: Any) -> Any:
    """A place and a schedule may be said in parts: what is new joins what it does not replace."""
    if not isinstance(value, dict) or not isinstance(before, dict):
        return value
    if slot == "place":
        # Another city leaves the state where there is such a city in it: "oops, the field is in Pekin".
        keeps_state = (
            value.keys() == {"city"} and "state" in before and _is_in(value["city"], before["state"])
        )
        if keeps_state:
            return {**value, "state": before["state"]}
        return value if value.keys() & before.keys() else before | value
    if slot == "schedule" and "hours_per_day" in before and value.keys() < {"hours_per_day", "days_per_week"}:
        return before | value
    return value


def _is_in(city: Any, state: str) -> bool:
    # Loaded here alone: the list of cities is large, and few conversations change theirs.
    from engine.places import FoundPlace, find_place

    return isinstance(city, str) and isinstance(find_place(city=city, state=state), FoundPlace)

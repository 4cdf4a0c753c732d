"""Compares readings with gold, slot by slot: what counts as right, wrong, missing, extra, silent.

Pure functions over the JSON form of a reading, so that the same scorer serves the tests, the command line and cases kept elsewhere.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any, Literal

Outcome = Literal["right", "wrong", "missing", "extra"]
METRES_TOLERANCE = 0.02
"""Heights in metres are converted; two decimals of a foot is as far as gold goes."""


@dataclass(frozen=True, slots=True)
class SlotScore:
    """One slot of one turn: where, what was expected, what was read, and whether a doubt was raised on it."""

    path: str
    slot: str
    outcome: Outcome
    gold: Any
    read: Any
    doubted: bool

    @property
    def silent(self) -> bool:
        """A wrong value shown as if it were sure."""
        return self.outcome in ("wrong", "extra") and not self.doubted


@dataclass(frozen=True, slots=True)
class CaseScore:
    """One record: its turns' slot scores, and whether the state after the last turn is exact."""

    id: str
    kind: str
    texts: tuple[str, ...]
    slots: tuple[SlotScore, ...]
    last_exact: bool
    turns_exact: int
    intents_right: int
    turns: int
    intents: tuple[tuple[str, str], ...]
    handoff_missed: int
    handoff_gold: int
    confidence: float
    problems: tuple[str, ...] = ()

    @property
    def is_dialog(self) -> bool:
        return self.turns > 1


@dataclass(slots=True)
class Tally:
    """Counts that give precision, recall, F1 and the share of silent errors."""

    right: int = 0
    wrong: int = 0
    missing: int = 0
    extra: int = 0
    silent: int = 0
    cases: int = 0
    exact: int = 0
    intents: int = 0
    intents_right: int = 0
    doubts_needless: int = 0
    worst: list[str] = field(default_factory=list)

    def add(self, slot: SlotScore) -> None:
        setattr(self, slot.outcome, getattr(self, slot.outcome) + 1)
        self.silent += slot.silent
        self.doubts_needless += slot.outcome == "right" and slot.doubted

    @property
    def precision(self) -> float:
        read = self.right + self.wrong + self.extra
        return self.right / read if read else 1.0

    @property
    def recall(self) -> float:
        gold = self.right + self.wrong + self.missing
        return self.right / gold if gold else 1.0

    @property
    def f1(self) -> float:
        p, r = self.precision, self.recall
        return 2 * p * r / (p + r) if p + r else 0.0

    @property
    def silent_share(self) -> float:
        read = self.right + self.wrong + self.extra
        return self.silent / read if read else 0.0

    @property
    def exact_share(self) -> float:
        return self.exact / self.cases if self.cases else 1.0

    @property
    def intent_accuracy(self) -> float:
        return self.intents_right / self.intents if self.intents else 1.0


def same(slot: str, gold: Any, read: Any) -> bool:
    """Whether two slot values mean the same."""
    if slot == "controls":
        return set(gold or ()) == set(read or ())
    if isinstance(gold, bool) or isinstance(read, bool):
        return gold is read
    if isinstance(gold, (int, float)) and isinstance(read, (int, float)):
        tolerance = METRES_TOLERANCE if slot in ("height_ft", "spacing_ft") else 1e-6
        return math.isclose(gold, read, rel_tol=1e-6, abs_tol=tolerance)
    if isinstance(gold, Mapping) and isinstance(read, Mapping):
        return gold.keys() == read.keys() and all(same(slot, gold[k], read[k]) for k in gold)
    if isinstance(gold, str) and isinstance(read, str):
        return " ".join(gold.casefold().split()) == " ".join(read.casefold().split())
    return bool(gold == read)


def _aligned(
    gold: Sequence[Mapping[str, Any]], read: Sequence[Mapping[str, Any]]
) -> list[tuple[int | None, int | None]]:
    """Pairs of line numbers in order, so that one line too many or too few does not make all that follow wrong."""
    if len(gold) == len(read):
        return [(i, i) for i in range(len(gold))]

    def alike(i: int, j: int) -> int:
        return 1 + sum(1 for slot, v in gold[i].items() if slot in read[j] and same(slot, v, read[j][slot]))

    best = [[0] * (len(read) + 1) for _ in range(len(gold) + 1)]
    for i in range(len(gold) - 1, -1, -1):
        for j in range(len(read) - 1, -1, -1):
            best[i][j] = max(best[i + 1][j], best[i][j + 1], best[i + 1][j + 1] + alike(i, j))
    pairs: list[tuple[int | None, int | None]] = []
    i = j = 0
    while i < len(gold) and j < len(read):
        if best[i][j] == best[i + 1][j + 1] + alike(i, j):
            pairs.append((i, j))
            i, j = i + 1, j + 1
        elif best[i][j] == best[i + 1][j]:
            pairs.append((i, None))
            i += 1
        else:
            pairs.append((None, j))
            j += 1
    pairs.extend((k, None) for k in range(i, len(gold)))
    pairs.extend((None, k) for k in range(j, len(read)))
    return pairs


def score_turn(gold: Mapping[str, Any], read: Mapping[str, Any]) -> list[SlotScore]:
    """Slot scores of one turn. A value that gold names among a slot's honest others counts as right."""
    accepted: dict[str, list[Any]] = {d["path"]: list(d["others"]) for d in gold.get("doubts", ())}
    doubted = {d["path"] for d in read.get("doubts", ())}
    scores: list[SlotScore] = []

    def compare(
        prefix: str, gold_slots: Mapping[str, Any], read_slots: Mapping[str, Any], gold_prefix: str
    ) -> None:
        for slot in sorted(gold_slots.keys() | read_slots.keys()):
            path = f"{prefix}.{slot}"
            in_gold, in_read = slot in gold_slots, slot in read_slots
            others = accepted.get(f"{gold_prefix}.{slot}", [])
            outcome: Outcome
            if in_gold and in_read:
                fine = same(slot, gold_slots[slot], read_slots[slot]) or any(
                    same(slot, o, read_slots[slot]) for o in others
                )
                outcome = "right" if fine else "wrong"
            elif in_gold:
                outcome = "right" if None in others else "missing"
            else:
                fine = any(o is not None and same(slot, o, read_slots[slot]) for o in others)
                outcome = "right" if fine else "extra"
            scores.append(
                SlotScore(path, slot, outcome, gold_slots.get(slot), read_slots.get(slot), path in doubted)
            )

    compare("job", gold["job"], read["job"], "job")
    for i, j in _aligned(gold["lines"], read["lines"]):
        compare(
            f"lines.{i if j is None else j}",
            {} if i is None else gold["lines"][i],
            {} if j is None else read["lines"][j],
            f"lines.{i}",
        )
    return scores


def score_case(record: Mapping[str, Any], readings: Sequence[Mapping[str, Any]]) -> CaseScore:
    """All turns of one record. Slots are scored on the state after each turn."""
    slots: list[SlotScore] = []
    exact = intents_right = missed = handoffs = 0
    last = False
    problems: list[str] = []
    intents: list[tuple[str, str]] = []
    for n, (gold, read) in enumerate(zip(record["gold"], readings, strict=True)):
        turn = score_turn(gold, read)
        slots.extend(turn)
        last = all(s.outcome == "right" for s in turn) and len(gold["lines"]) == len(read["lines"])
        exact += last
        right = gold["intent"] == read["intent"]
        intents_right += right
        intents.append((gold["intent"], read["intent"]))
        if gold["intent"] == "handoff":
            handoffs += 1
            missed += read["intent"] != "handoff"
        if not right:
            problems.append(f"turn {n}: intent {read['intent']}, expected {gold['intent']}")
        problems.extend(
            f"turn {n}: {s.path} {s.outcome}{' SILENT' if s.silent else ''}: read {s.read!r}, expected {s.gold!r}"
            for s in turn
            if s.outcome != "right"
        )
    return CaseScore(
        id=record["id"],
        kind=record["kind"],
        texts=tuple(t["text"] for t in record["turns"]),
        slots=tuple(slots),
        last_exact=last,
        turns_exact=exact,
        intents_right=intents_right,
        turns=len(record["turns"]),
        intents=tuple(intents),
        handoff_missed=missed,
        handoff_gold=handoffs,
        confidence=min((r.get("confidence", 1.0) for r in readings), default=1.0),
        problems=tuple(problems),
    )


def tally(cases: Iterable[CaseScore]) -> Tally:
    """One tally over ``cases``."""
    out = Tally()
    for case in cases:
        out.cases += 1
        out.exact += case.last_exact
        out.intents += case.turns
        out.intents_right += case.intents_right
        for slot in case.slots:
            out.add(slot)
    return out


def by_slot(cases: Iterable[CaseScore]) -> dict[str, Tally]:
    """A tally a slot name."""
    out: dict[str, Tally] = defaultdict(Tally)
    for case in cases:
        for slot in case.slots:
            out[slot.slot].add(slot)
    return dict(sorted(out.items()))


def reliability(
    cases: Iterable[CaseScore], edges: Sequence[float] = (0.0, 0.5, 0.7, 0.8, 0.9, 0.95, 1.01)
) -> list[tuple[float, float, int, float, float]]:
    """Stated confidence against observed exactness of single messages: (from, to, cases, mean stated, share exact)."""
    rows = []
    cases = [c for c in cases if not c.is_dialog]
    for low, high in pairwise(edges):
        inside = [c for c in cases if low <= c.confidence < high]
        if inside:
            rows.append((
                low, min(high, 1.0), len(inside),
                sum(c.confidence for c in inside) / len(inside),
                sum(c.last_exact for c in inside) / len(inside),
            ))  # fmt: skip
    return rows

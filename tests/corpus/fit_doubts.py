"""Fits the weights of the doubts on the tuning part: `python -m tests.corpus.fit_doubts [--write] [--rounds 6]`.

Every message of the tuning part is read several times by a reader that lacks some of its parts, of a text that is spoilt a
little (see leave_out.py). Of each slot said, its signs and whether it was right are kept; a logistic regression with a ridge
gives the weights. The same corpus and reader give the same weights.
"""

import argparse
import random  # noqa: TID251 seeded by the record's id: the same corpus gives the same draws
import re
import sys
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any, NamedTuple

import numpy as np

import bot.reading.reader as reader
from bot.conversation import EMPTY, read_turn
from bot.conversation.state import State
from bot.reading.compiled import FOLDER
from bot.reading.unsure import ground_of, judge, message_signs, sentence_signs
from tests.corpus.leave_out import left_out, parts, spoilt
from tests.corpus.records import part_of, records
from tests.corpus.scoring import score_turn

RIDGE = 4.0
SEEN = 30
"""A sign that held less often gets no weight."""
LEAST = 0.05
"""Weights nearer to 0 are left out."""
FILE = FOLDER / "unsure.toml"


class Row(NamedTuple):
    """One slot said: of which record, whether a talk, its signs, whether it was wrong, whether a rule doubts it."""

    record: str
    talk: bool
    signs: dict[str, float]
    wrong: bool
    doubted: bool


class _Watch:
    """Stands in for the doubts: keeps the signs, raises none."""

    def __init__(self) -> None:
        self.kept: list[tuple[str, int, int, dict[str, float], bool]] = []
        self.talk = False

    def __call__(self, work: Any, passages: Any, job: Any, conversing: bool, language: str) -> Any:
        ground = ground_of(work)
        shared = message_signs(ground, len(passages))
        self.kept, self.talk = [], conversing
        for one in judge(ground, passages, job):
            signs = {"always": 1.0}
            for name, value in (*shared, *sentence_signs(ground.sentences[one.sentence]), *one.signs):
                signs[name] = signs.get(name, 0.0) + value
            self.kept.append((one.slot, one.said.start, one.said.end, signs, bool(one.said.others)))
        return passages, job, 0.0


def rows_of(
    watch: _Watch, record: str, state: State, turn: int, text: str, asked: str | None, gold: Mapping[str, Any]
) -> list[Row]:
    """The slots that one turn states, with their fate."""
    watch.kept = []
    _, reading = read_turn(state, text, turn, asked)
    said = reading.as_json()
    fate: dict[tuple[str, int, int], bool] = {}
    scores = {score.path: score for score in score_turn(gold, said) if score.read is not None}
    for path, span in reading.spans.items():
        if span[0] == turn and path in scores:
            key = (path.rsplit(".", 1)[1], span[1], span[2])
            fate[key] = fate.get(key, False) or scores[path].outcome != "right"
    return [
        Row(record, watch.talk, signs, fate[slot, start, end], doubted)
        for slot, start, end, signs, doubted in watch.kept
        if (slot, start, end) in fate
    ]


@contextmanager
def watching(watch: _Watch) -> Iterator[None]:
    """The reader with ``watch`` in place of the doubts."""
    kept = vars(reader)["doubted"]
    setattr(reader, "doubted", watch)  # noqa: B010 the name is the reader's own import
    try:
        yield
    finally:
        setattr(reader, "doubted", kept)  # noqa: B010


def material(rounds: int) -> list[Row]:
    """The slots of all messages of the tuning part, each read ``rounds`` times."""
    out: list[Row] = []
    watch = _Watch()
    with watching(watch):
        for record in records():
            if part_of(record["id"]) != "tuning":
                continue
            states = [EMPTY]
            for number, turn in enumerate(record["turns"]):
                states.append(read_turn(states[-1], turn["text"], number, turn.get("asked"))[0])
            for round_ in range(rounds):
                rng = random.Random(f"{record['id']} {round_}")  # noqa: S311 no secret hangs on it
                for number, turn in enumerate(record["turns"]):
                    with left_out(parts(rng)):
                        out += rows_of(
                            watch, record["id"], states[number], number, spoilt(rng, turn["text"]), turn.get("asked"),
                            record["gold"][number],
                        )  # fmt: skip
    return out


def fitted(rows: list[Row]) -> dict[str, float]:
    """The weight of each sign."""
    seen = Counter(name for row in rows for name in row.signs)
    names = ["always", *sorted(name for name, times in seen.items() if times >= SEEN and name != "always")]
    column = {name: n for n, name in enumerate(names)}
    table = np.zeros((len(rows), len(names)))
    for n, row in enumerate(rows):
        for name, value in row.signs.items():
            if name in column:
                table[n, column[name]] = value
    wrong = np.array([row.wrong for row in rows], dtype=float)
    held = np.eye(len(names)) * RIDGE
    held[0, 0] = 1e-6
    weights = np.zeros(len(names))
    weights[0] = -3.0

    def loss(at: np.ndarray) -> float:
        score = table @ at
        return float(np.sum(np.logaddexp(0.0, score) - wrong * score) + 0.5 * at @ held @ at)

    now = loss(weights)
    for _ in range(50):
        stated = 1.0 / (1.0 + np.exp(-np.clip(table @ weights, -30.0, 30.0)))
        slope = table.T @ (wrong - stated) - held @ weights
        bend = (table * (stated * (1.0 - stated))[:, None]).T @ table + held
        step = np.linalg.solve(bend, slope)
        length = 1.0
        while (then := loss(weights + length * step)) > now and length > 1e-4:
            length /= 2
        weights = weights + length * step
        if now - then < 1e-4:
            break
        now = then
    return {
        name: round(float(weight), 2)
        for name, weight in zip(names, weights, strict=True)
        if abs(weight) >= LEAST or name == "always"
    }


def _table(name: str, weights: Mapping[str, float]) -> str:
    return "\n".join([f"[{name}]", *[f'"{sign}" = {weight}' for sign, weight in weights.items()], ""])


def report(rows: list[Row], weights: Mapping[str, float]) -> str:
    """How many wrong slots stay silent and how many right ones are doubted, by threshold."""
    score = np.array(
        [sum(weights.get(name, 0.0) * value for name, value in row.signs.items()) for row in rows]
    )
    stated = 1.0 / (1.0 + np.exp(-score))
    wrong = np.array([row.wrong for row in rows])
    before = np.array([row.doubted for row in rows])
    out = [f"{len(rows)} slots, {wrong.mean():.4f} wrong, silent {np.mean(wrong & ~before):.4f}"]
    for limit in (0.05, 0.07, 0.09, 0.12, 0.15, 0.2, 0.3):
        doubt = before | (stated > limit)
        out.append(
            f"  threshold {limit:.2f}: silent {np.mean(wrong & ~doubt):.4f}, needless {np.mean(~wrong & doubt):.4f}"
        )
    return "\n".join(out)


def main(argv: list[str] | None = None) -> int:
    """Print the weights, or write them where the package reads them."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--write", action="store_true")
    parser.add_argument("--rounds", type=int, default=6)
    args = parser.parse_args(argv)
    rows = material(args.rounds)
    text = FILE.read_text(encoding="utf-8")
    for name, talk in (("first", False), ("talk", True)):
        mine = [row for row in rows if row.talk is talk]
        # of one half the weights, of the other what they do: an honest figure
        half = sorted({row.record for row in mine})[::2]
        learnt = fitted([row for row in mine if row.record in set(half)])
        print(name, report([row for row in mine if row.record not in set(half)], learnt))
        weights = fitted(mine)
        new = _table(name, weights)
        text = re.sub(rf"(?ms)^\[{name}\]\n.*?(?=^\[|\Z)", lambda _, new=new: new + "\n", text)  # type: ignore[misc]
    text = text.rstrip("\n") + "\n"
    if args.write:
        FILE.write_text(text, encoding="utf-8")
    else:
        print(text)
    return 0


if __name__ == "__main__":
    sys.exit(main())

"""Tells jobs in every way and compares what is read with what was told: ``python -m tests.unit.ways.survey --number 150``."""

import argparse
import sys
from collections import Counter, defaultdict
from dataclasses import dataclass

from bot.conversation import read_turns
from tests.corpus.scoring import score_turn
from tests.unit.ways.tell import WAYS, Told, tell

LISTED = 150
"""How many texts of each way known_failures.toml goes through."""


@dataclass(frozen=True, slots=True)
class Compared:
    """What is not read as told, one line a slot, and how much of it is shown as if it were sure."""

    told: Told
    faults: tuple[str, ...]
    slots: tuple[str, ...]
    silent: int


def compared(told: Told) -> Compared:
    """Reads a telling and compares the state after its last message."""
    shown = read_turns([(text, None) for text in told.texts])[-1].as_json()
    gold = {"job": told.job, "lines": list(told.lines)}
    wrong = [one for one in score_turn(gold, shown) if one.outcome != "right"]
    faults = [f"{one.path}: {one.outcome}, read {one.read!r}, told {one.gold!r}" for one in wrong]
    if len(shown["lines"]) != len(told.lines):
        faults.append(f"{len(shown['lines'])} types read, {len(told.lines)} told")
    if shown["intent"] not in ("quote", "revise"):
        faults.append(f"intent {shown['intent']}")
    return Compared(told, tuple(faults), tuple(one.slot for one in wrong), sum(one.silent for one in wrong))


def main(argv: list[str] | None = None) -> int:
    """Prints the share right by way, what is wrong by way and slot, and some texts of each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--number", type=int, default=LISTED, help="texts a way")
    parser.add_argument("--way", action="append", choices=sorted(WAYS), help="these ways alone")
    parser.add_argument("--show", type=int, default=0, help="wrong texts to show a way")
    parser.add_argument(
        "--ids", action="store_true", help="the numbers of what is wrong, for known_failures.toml"
    )
    args = parser.parse_args(argv)
    all_wrong = all_told = all_silent = 0
    for way in args.way or WAYS:
        read = [compared(tell(way, number)) for number in range(args.number)]
        wrong = [one for one in read if one.faults]
        silent = sum(one.silent > 0 for one in read)
        by_slot = Counter(slot for one in wrong for slot in set(one.slots))
        all_wrong, all_told, all_silent = all_wrong + len(wrong), all_told + len(read), all_silent + silent
        print(
            f"{way:22} {1 - len(wrong) / len(read):6.3f} right, {silent:4} with a silent error   {dict(by_slot.most_common(6))}"
        )
        shown: defaultdict[tuple[str, ...], int] = defaultdict(int)
        count = 0
        for one in sorted(wrong, key=lambda one: -one.silent):
            if count == args.show:
                break
            shown[one.told.said] += 1
            if shown[one.told.said] > max(2, args.show // 4):
                continue
            count += 1
            print(f"    {one.told.number} {' || '.join(one.told.texts)!r}")
            for fault in one.faults[:4]:
                print("        ", fault)
        if args.ids:
            print("    ", [one.told.number for one in wrong])
    print(f"{'all':22} {1 - all_wrong / all_told:6.3f} of {all_told} right, {all_silent} with a silent error")
    return 0


if __name__ == "__main__":
    sys.exit(main())

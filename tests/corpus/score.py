"""Scores the reader on the corpus and prints the tables: `python -m tests.corpus.score [--part tuning|final] [--corpus=DIR]`.

Of the final part it prints sums only, unless ``--worst`` asks for cases (to report them, never to tune on them).
"""

import argparse
import sys
from pathlib import Path

from bot.conversation import read_turns
from tests.corpus.records import FOLDER, part_of, records
from tests.corpus.scoring import CaseScore, Tally, by_slot, reliability, score_case, tally


def scores(folder: Path = FOLDER, part: str | None = None) -> list[CaseScore]:
    """The case scores of all records below ``folder``, or of one part of them."""
    out = []
    for record in records(folder):
        if part is not None and part_of(record["id"]) != part:
            continue
        readings = [r.as_json() for r in read_turns([(t["text"], t.get("asked")) for t in record["turns"]])]
        out.append(score_case(record, readings))
    return out


def _row(name: str, t: Tally) -> str:
    return (
        f"{name:<24}{t.cases:>6}{t.precision:>9.4f}{t.recall:>9.4f}{t.f1:>9.4f}{t.exact_share:>9.4f}"
        f"{100 * t.silent_share:>8.2f}%{t.intent_accuracy:>9.4f}{t.doubts_needless:>9}"
    )


HEAD = f"{'':<24}{'cases':>6}{'prec':>9}{'recall':>9}{'F1':>9}{'exact':>9}{'silent':>9}{'intent':>9}{'doubts+':>9}"


def report(cases: list[CaseScore], worst: int) -> str:
    """The tables as text."""
    singles = [c for c in cases if not c.is_dialog]
    dialogs = [c for c in cases if c.is_dialog]
    lines = [
        HEAD,
        _row("all", tally(cases)),
        _row("single messages", tally(singles)),
        _row("dialogs", tally(dialogs)),
        "",
    ]
    kinds = sorted({c.kind for c in cases})
    lines.extend(_row(kind, tally(c for c in cases if c.kind == kind)) for kind in kinds)
    lines += ["", f"{'slot':<24}{'right':>8}{'wrong':>8}{'missing':>8}{'extra':>8}{'F1':>9}{'silent':>8}"]
    for slot, t in by_slot(cases).items():
        lines.append(f"{slot:<24}{t.right:>8}{t.wrong:>8}{t.missing:>8}{t.extra:>8}{t.f1:>9.4f}{t.silent:>8}")
    gold = sum(c.handoff_gold for c in cases)
    missed = sum(c.handoff_missed for c in cases)
    lines += [
        "",
        f"handoff recall: {gold - missed} of {gold}",
        "",
        "stated confidence   cases   mean stated   observed exact",
    ]
    for low, high, n, mean, seen in reliability(cases):
        lines.append(f"{low:>6.2f} to {high:<6.2f}{n:>10}{mean:>14.3f}{seen:>17.3f}")
    if worst:
        lines += ["", "worst cases"]
        bad = sorted(
            (c for c in cases if c.problems),
            key=lambda c: (-sum("SILENT" in p for p in c.problems), -len(c.problems), c.id),
        )
        for case in bad[:worst]:
            lines.append(f"- {case.id}")
            lines.extend(f"    > {text!r}" for text in case.texts)
            lines.extend(f"    {p}" for p in case.problems[:8])
    return "\n".join(lines)


def main(argv: list[str] | None = None) -> int:
    """Print the report; exit 0."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--part", choices=["tuning", "final"])
    parser.add_argument("--corpus", type=Path, default=FOLDER)
    parser.add_argument(
        "--worst",
        type=int,
        default=None,
        help="how many cases to show (default: 20, none for the final part)",
    )
    args = parser.parse_args(argv)
    worst = args.worst if args.worst is not None else (20 if args.part == "tuning" else 0)
    print(report(scores(args.corpus, args.part), worst))
    return 0


if __name__ == "__main__":
    sys.exit(main())

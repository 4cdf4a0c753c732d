"""Fits the weights of the stated confidence on the single messages of the tuning part: `python -m tests.corpus.calibrate [--write]`.

Half of what it is fitted on are the messages as they are, half are the same read by a reader with parts left out (see
leave_out.py): the reader was tuned on these messages, and of others it knows less. A logistic regression with a small ridge, by Newton's method; the same corpus and reader give the same weights.
"""

import argparse
import random  # noqa: TID251 seeded by the record's id: the same corpus gives the same draws
import sys

import numpy as np

from bot.conversation import EMPTY, fold
from bot.conversation.confidence import FILE, SIGNS, signs
from bot.conversation.whole import all_held, reading_of
from bot.reading import read_message
from tests.corpus.leave_out import left_out, parts, spoilt
from tests.corpus.records import part_of, records
from tests.corpus.scoring import score_case

RIDGE = 1.0
ROUNDS = 8
"""Readings of each message; every second one with parts left out."""
HEAD = "# Weights of the signs in confidence.py. Fitted by `python -m tests.corpus.calibrate` on the single messages of the tuning part, half of them read with parts of the reader left out."


def material() -> tuple[np.ndarray, np.ndarray]:
    """Signs, one row a message, and whether the message was read whole."""
    rows, right = [], []
    for record in records():
        if len(record["turns"]) > 1 or part_of(record["id"]) != "tuning":
            continue
        turn = record["turns"][0]
        for round_ in range(ROUNDS):
            rng = random.Random(f"{record['id']} {round_}")  # noqa: S311 no secret hangs on it
            worse = round_ % 2 == 1
            with left_out(parts(rng) if worse else []):
                message = read_message(
                    spoilt(rng, turn["text"]) if worse else turn["text"],
                    asked=turn.get("asked"),
                    in_conversation=False,
                )
            state = fold(EMPTY, message, 0)
            reading = reading_of(state, message, 0)
            rows.append(
                signs(
                    [held for _, held in all_held(state.job)],
                    len(reading.unread),
                    len(reading.faults),
                    message.risk,
                )
            )
            right.append(score_case(record, [reading.as_json()]).last_exact)
    return np.array(rows, dtype=float), np.array(right, dtype=float)


def fitted(rows: np.ndarray, right: np.ndarray) -> np.ndarray:
    """The weights; the first column (always 1) is not held towards 0."""
    weights = np.zeros(rows.shape[1])
    ridge = np.diag([0.0, *[RIDGE] * (rows.shape[1] - 1)])
    for _ in range(50):
        stated = 1.0 / (1.0 + np.exp(-rows @ weights))
        slope = rows.T @ (right - stated) - ridge @ weights
        bend = (rows * (stated * (1.0 - stated))[:, None]).T @ rows + ridge + 1e-9 * np.eye(len(weights))
        step = np.linalg.solve(bend, slope)
        weights = weights + step
        if np.abs(step).max() < 1e-9:
            break
    return weights


def main(argv: list[str] | None = None) -> int:
    """Print the weights, or write them where the package reads them."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--write", action="store_true")
    args = parser.parse_args(argv)
    rows, right = material()
    weights = fitted(rows, right)
    text = "\n".join(
        [HEAD, "", "[weights]", *[f"{s} = {w:.4f}" for s, w in zip(SIGNS, weights, strict=True)], ""]
    )
    if args.write:
        FILE.write_text(text, encoding="utf-8")
    stated = 1.0 / (1.0 + np.exp(-rows @ weights))
    print(text)
    print(
        f"{len(right)} messages, {right.mean():.4f} whole, Brier score {np.mean((stated - right) ** 2):.4f}"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())

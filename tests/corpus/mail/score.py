"""Scores the mail desk on its corpus: `python -m tests.corpus.mail.score` (add `--all` for every difference)."""

import json
import sys
from dataclasses import dataclass, field
from datetime import UTC, datetime
from email import message_from_bytes
from email.utils import parseaddr
from pathlib import Path
from typing import Any

from bot.mail.desk import Answer, MailDesk
from bot.mail.headers import Address
from bot.opening import open_assistant
from tests.corpus.scoring import Tally, score_turn

FOLDER = Path(__file__).parent
AT = datetime(2026, 11, 24, 15, 0, tzinfo=UTC)
DESK = "Oxbow & Tansy Electrical Supply"


@dataclass(slots=True)
class MailScore:
    """Sums over the corpus: how many of how many, and what differs."""

    messages: int = 0
    texts: int = 0
    texts_right: int = 0
    decisions_right: int = 0
    addressed: int = 0
    addressed_right: int = 0
    slots: Tally = field(default_factory=Tally)
    differences: list[str] = field(default_factory=list)

    @property
    def text_share(self) -> float:
        return self.texts_right / self.texts

    @property
    def decision_share(self) -> float:
        return self.decisions_right / self.messages


def gold() -> list[dict[str, Any]]:
    return [json.loads(line) for line in (FOLDER / "gold.jsonl").read_text("utf-8").splitlines()]


def desk() -> MailDesk:
    """The desk; without the quote as PDF, which tells nothing of the reading and takes its time."""
    return MailDesk(open_assistant(), (Address(DESK, "quotes@example.org"),), with_pdf=False)


def even(text: str) -> str:
    """Without blanks at the ends of lines and blank lines."""
    return "\n".join(line.strip() for line in text.split("\n") if line.strip())


def score() -> MailScore:
    out, at = MailScore(), desk()
    for row in gold():
        add(out, row, at.answer((FOLDER / row["file"]).read_bytes(), AT))
    return out


def add(out: MailScore, row: dict[str, Any], answer: Answer) -> None:
    """One message more."""
    name = row["file"]
    out.messages += 1
    right = answer.decision.reply == row["reply"]
    out.decisions_right += right
    if not right:
        out.differences.append(
            f"{name}: {answer.decision.reply} ({answer.decision.reason}), expected {row['reply']}"
        )
    if "text" in row:
        out.texts += 1
        same = even(answer.text) == even(row["text"])
        out.texts_right += same
        if not same:
            out.differences.append(f"{name}: text {answer.text!r}, expected {row['text']!r}")
    if "lines" in row:
        for slot in score_turn({"job": row["job"], "lines": row["lines"]}, answer.reading.as_json()):
            out.slots.add(slot)
            if slot.outcome != "right":
                out.differences.append(
                    f"{name}: {slot.path} {slot.outcome}: {slot.read!r}, expected {slot.gold!r}"
                )
    if "to" in row:
        out.addressed += 1
        to = parseaddr(message_from_bytes(answer.draft or b"")["To"] or "")[1]
        out.addressed_right += to == row["to"]
        if to != row["to"]:
            out.differences.append(f"{name}: to {to!r}, expected {row['to']!r}")


if __name__ == "__main__":
    found = score()
    for difference in found.differences if "--all" in sys.argv else found.differences[:40]:
        print(difference[:600])
    print(
        f"{found.messages} messages: decision {found.decision_share:.3f}, newest text exact {found.text_share:.3f} of {found.texts}, "
        f"slots F1 {found.slots.f1:.4f}, addressed {found.addressed_right} of {found.addressed}"
    )

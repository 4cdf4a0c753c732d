"""The corpus on disk: one JSON record a line, validated strictly, in a tuning part and a final part."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from engine.request import StatedJob, StatedLine
from engine.vocabulary import Intent

FOLDER = Path(__file__).parent
FINAL = ("h5-", "h6-", "h7-")
"""Ids of the final part: sets of outsiders that nobody who works on the reader has looked at."""
Part = Literal["tuning", "final"]


class _Strict(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Turn(_Strict):
    """One text as sent, with the slot that we had asked about, if any."""

    text: str
    asked: Annotated[str | None, Field(default=None, pattern=r"^(job\.\w+|lines\.(\d+|\*)\.\w+|\w+)$")]


class GoldDoubt(_Strict):
    """A slot where an honest reader must doubt: ``others`` (null: the slot may be absent) count as right too."""

    path: str
    others: tuple[Any, ...]
    value: Any = None
    why: str = ""


class Gold(_Strict):
    """The whole state after a turn."""

    intent: Intent
    job: StatedJob
    lines: tuple[StatedLine, ...]
    doubts: tuple[GoldDoubt, ...] = ()


class Record(_Strict):
    """One case. See README.md beside this file for what each field means."""

    id: str = Field(pattern=r"^[a-z0-9_-]{3,60}$")
    kind: str = Field(pattern=r"^[a-z_-]{3,30}$")
    why: str = Field(min_length=3, max_length=300)
    turns: tuple[Turn, ...] = Field(min_length=1)
    gold: tuple[Gold, ...] = Field(min_length=1)

    @model_validator(mode="after")
    def _gold_for_each_turn(self) -> "Record":
        if len(self.turns) != len(self.gold):
            raise ValueError(f"{len(self.turns)} turns but {len(self.gold)} golds")
        return self


def part_of(record_id: str) -> Part:
    """Which part a record belongs to: fixed by its id alone."""
    return "final" if record_id.startswith(FINAL) else "tuning"


def records(folder: Path = FOLDER) -> Iterator[dict[str, Any]]:
    """Every record below ``folder`` in file order, as plain JSON.

    Raises:
        ValueError: a line that is not a record, named by file and line.
    """
    seen: set[str] = set()
    for path in sorted(folder.glob("*.jsonl")):
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            try:
                raw = json.loads(line)
                Record.model_validate(raw)
            except ValueError as fault:
                raise ValueError(f"{path.name}, line {number}: {fault}") from fault
            if raw["id"] in seen:
                raise ValueError(f"{path.name}, line {number}: the id {raw['id']} stands twice")
            seen.add(raw["id"])
            yield raw

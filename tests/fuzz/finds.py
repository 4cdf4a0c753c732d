"""What a fuzzer finds: one a kind of fault, of each the shortest input seen."""

import hashlib
import re
import traceback
from pathlib import Path


class Broken(AssertionError):
    """What was read can't be true of the input; the message says what is wrong with it."""


class Finds:
    """Findings by kind; of each kind the shortest input, written into a folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.shortest: dict[str, int] = {}
        self.times: dict[str, int] = {}

    def add(self, kind: str, data: bytes, detail: str) -> None:
        self.times[kind] = self.times.get(kind, 0) + 1
        if len(data) >= self.shortest.get(kind, 1 << 30):
            return
        self.shortest[kind] = len(data)
        name = hashlib.sha256(kind.encode()).hexdigest()[:10]
        (self.folder / f"finding-{name}.txt").write_bytes(data)
        (self.folder / f"finding-{name}.why").write_text(f"{kind}\n{detail}\n", encoding="utf-8")
        print(f"FOUND {name}: {kind} in {data[:120]!r}", flush=True)

    def summary(self, runs: int, seconds: float) -> None:
        print(f"{runs} inputs in {seconds:.0f} s, {len(self.times)} kinds of findings")
        for kind, times in sorted(self.times.items(), key=lambda item: -item[1]):
            print(f"{times:>8}  {kind}")


def kind_of(error: Exception) -> str:
    """Type and the innermost place inside the project, so that one fault is one kind."""
    frames = [
        f
        for f in traceback.extract_tb(error.__traceback__)
        if any(part in f.filename for part in ("/bot/", "/engine/", "/tests/"))
    ]
    where = f"{Path(frames[-1].filename).name}:{frames[-1].name}" if frames else "?"
    said = " / ".join(line.strip() for line in str(error).splitlines()[:3])
    return f"{type(error).__name__} in {where}: {re.sub(r'[0-9]+', '#', said)[:100]}"

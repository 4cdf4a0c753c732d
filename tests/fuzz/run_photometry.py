"""Coverage-guided fuzzing of the photometric readers: `python -m tests.fuzz.run_photometry --seconds 900`. Never part of the tests.

Needs atheris, as `tests.fuzz.run` does. It starts from the sound and broken files of `tests/unit/light/files`; what it finds is
written as `finding-<digest>.txt`, and a minimised finding belongs into `files/broken` (or `files/sound`) with its expectation.
"""

import argparse
import os
import sys
import tempfile
import time
import traceback
from pathlib import Path

import atheris  # type: ignore[import-untyped, import-not-found, unused-ignore]

from tests.fuzz.finds import Finds, kind_of

with atheris.instrument_imports(include=["engine.light"]):
    from tests.fuzz.photometry_target import try_file

FILES = Path(__file__).parents[1] / "unit" / "light" / "files"
SLOW_SECONDS = 0.25
"""For inputs of at most `LONGEST` bytes, most of which take well under a millisecond."""
LONGEST = 8192


def main() -> int:
    """Fuzz for the time given; the exit status is 1 where there is a finding."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--seconds", type=int, default=600)
    parser.add_argument("--finds", type=Path, help="folder for findings (default: a new temporary one)")
    given = parser.parse_args()
    folder = given.finds or Path(tempfile.mkdtemp(prefix="finds-"))
    folder.mkdir(parents=True, exist_ok=True)
    corpus = Path(tempfile.mkdtemp(prefix="corpus-"))
    for seed in sorted((*(FILES / "sound").iterdir(), *(FILES / "broken").iterdir())):
        (corpus / seed.name).write_bytes(seed.read_bytes())
    words = Path(tempfile.mkstemp(suffix=".dict")[1])
    words.write_text(
        "".join(f'"{word}"\n' for word in ("TILT=", "NONE", "INCLUDE", "IESNA:LM-63-1995", "IESNA91", "[MORE]", "nan", "inf", "1e12", "270", "360", "-90", "lamp.tlt"))
    )  # fmt: skip
    finds, runs, begun = Finds(folder), 0, time.monotonic()

    def one(data: bytes) -> None:
        nonlocal runs
        runs += 1
        start = time.process_time()
        try:
            for name in ("fuzz.ies", "fuzz.ldt"):
                try_file(data, name)
        except Exception as error:
            finds.add(kind_of(error), data, traceback.format_exc())
        else:
            took = time.process_time() - start
            if took > SLOW_SECONDS:
                finds.add("slow", data, f"{took:.4f} s")
        if time.monotonic() - begun > given.seconds:
            finds.summary(runs, time.monotonic() - begun)
            sys.stdout.flush()
            # libFuzzer never returns: leave from here, past its own handlers
            os._exit(1 if finds.times else 0)

    atheris.Setup(
        [sys.argv[0], str(corpus), f"-dict={words}", f"-max_len={LONGEST}", "-timeout=60", "-rss_limit_mb=1500", "-verbosity=0"],
        one,
    )  # fmt: skip
    atheris.Fuzz()
    return 0


if __name__ == "__main__":
    sys.exit(main())

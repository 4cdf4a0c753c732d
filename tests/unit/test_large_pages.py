"""Memory joined into large pages holds what it held, and the system says that they are large."""

import platform
import subprocess
import sys

import pytest

TRIED = """
import pathlib
from bot.large_pages import LARGE, joining_pages

held = [bytearray([n]) * (8 * LARGE) for n in range(3)]
before = [bytes(each) for each in held]
joined = sum(joining_pages())
assert [bytes(each) for each in held] == before
rollup = pathlib.Path("/proc/self/smaps_rollup").read_text()
large_kb = next(int(line.split()[1]) for line in rollup.splitlines() if line.startswith("AnonHugePages"))
print(joined, large_kb * 1024 // LARGE)
"""


def _takes_part() -> bool:
    kernel = tuple(int(part) for part in platform.release().split(".")[:2] if part.isdecimal())
    return sys.platform == "linux" and kernel >= (6, 1) and platform.machine() in ("x86_64", "aarch64")


@pytest.mark.skipif(not _takes_part(), reason="pages are joined on demand by Linux 6.1 and later")
def test_joined_pages_are_large_and_hold_what_they_held() -> None:
    done = subprocess.run([sys.executable, "-c", TRIED], capture_output=True, text=True, check=True)

    joined, large = map(int, done.stdout.split())
    assert joined
    assert large >= joined

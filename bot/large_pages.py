"""A process's memory in large pages, where the system gives them: what an answer touches lies all over it.

The processor finds small pages by a table of some thousand entries, and an answering process has tens of thousands: it waits
for some 6 % of its time until they are found elsewhere. Linux joins pages when asked to from 6.1 on (`madvise`,
MADV_COLLAPSE); where nothing does, a process runs as it did.
"""

import ctypes
from collections.abc import Iterator
from pathlib import Path
from typing import Final

LARGE: Final = 2 << 20
"""Bytes of a large page: on x86, and on ARM with small ones of 4 kB."""
_MADV_COLLAPSE: Final = 25
"""Linux's include/uapi/asm-generic/mman-common.h."""
_MAPS: Final = Path("/proc/self/maps")


def joining_pages() -> Iterator[bool]:
    """Joins what this process has allocated by the first step, a large page a step; tells of each whether it was joined.

    A step takes a millisecond or so. Memory that is allocated later is left to the system.
    """
    try:
        madvise = ctypes.CDLL(None).madvise
        maps = _MAPS.read_text()
    except (OSError, AttributeError, TypeError):
        return  # no Linux
    madvise.argtypes = (ctypes.c_void_p, ctypes.c_size_t, ctypes.c_int)
    for line in maps.splitlines():
        addresses, access, _, _, file, *name = line.split(None, 5)
        if access != "rw-p" or file != "0" or name not in ([], ["[heap]"]):
            continue
        begin, end = (int(address, 16) for address in addresses.split("-"))
        for at in range(-(-begin // LARGE) * LARGE, end - LARGE + 1, LARGE):
            yield madvise(at, LARGE, _MADV_COLLAPSE) == 0

"""The confined process: the bytes of a file on standard input, its cells as JSON on standard output."""

import json
import resource
import sys
from typing import Final

from bot.mail.attachments.grid import Book, FileRefused

ADDRESS_SPACE: Final = {"xlsx": 384_000_000, "pdf": 512_000_000}
"""Bytes of address space, which is more than what is ever resident: most of it is code of libraries."""
CPU_SECONDS: Final = 8
MOST_FILES: Final = 64


def main(kind: str) -> int:
    """0, or 1 where the file can't be answered about."""
    resource.setrlimit(resource.RLIMIT_AS, (ADDRESS_SPACE[kind], ADDRESS_SPACE[kind]))
    resource.setrlimit(resource.RLIMIT_CPU, (CPU_SECONDS, CPU_SECONDS + 1))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    resource.setrlimit(resource.RLIMIT_NOFILE, (MOST_FILES, MOST_FILES))
    data = sys.stdin.buffer.read()
    try:
        answer = _open(kind, data).as_plain()
    except FileRefused as refused:
        answer = {"why": refused.why}
    except MemoryError:
        answer = {"why": "bomb"}
    # The readers raise whatever they stumble over: KeyError, TypeError, struct.error, errors of their own.
    except Exception:
        answer = {"why": "broken"}
    sys.stdout.write(json.dumps(answer))
    return 0


def _open(kind: str, data: bytes) -> Book:
    if kind == "pdf":
        from bot.mail.attachments.pages import open_pages

        return open_pages(data)
    from bot.mail.attachments.workbook import open_workbook

    return open_workbook(data)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))

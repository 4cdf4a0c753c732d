"""Opens a file in a process of its own, with little memory and little time: a file that harms its reader harms nothing else."""

import json
import os
import subprocess
import sys
from typing import Final, Literal, get_args

from bot.mail.attachments.grid import Book, FileRefused, Why

SECONDS: Final = 8.0
MOST_ANSWER: Final = 30_000_000
"""Bytes of what the process may answer."""


def open_confined(kind: Literal["xlsx", "pdf"], data: bytes) -> Book:
    """What the file holds.

    Raises:
        FileRefused: the process refused it, died of it or took too long.
    """
    command = [sys.executable, "-m", "bot.mail.attachments.child", kind]
    try:
        done = subprocess.run(  # noqa: S603  the program's own path; the file goes in as bytes
            command,
            input=data,
            capture_output=True,
            timeout=SECONDS,
            check=False,
            env={"PYTHONPATH": os.pathsep.join(path for path in sys.path if path), "PYTHONIOENCODING": "utf-8",
                 "PATH": os.environ.get("PATH", ""), "LC_ALL": "C.UTF-8", "OMP_NUM_THREADS": "1",
                 "OPENBLAS_NUM_THREADS": "1"},
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        raise FileRefused("too_long") from None
    if done.returncode != 0 or len(done.stdout) > MOST_ANSWER:
        raise FileRefused("broken")
    try:
        answer = json.loads(done.stdout)
    except ValueError:
        raise FileRefused("broken") from None
    why = answer.get("why")
    if why is not None:
        raise FileRefused(why if why in get_args(Why) else "broken")
    return Book.of_plain(answer)

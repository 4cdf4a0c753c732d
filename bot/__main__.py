"""The command line: ``wattclerk COMMAND ...``, also ``python -m bot COMMAND ...``.

Only the parser is built here; a command's module is imported when it is called, so that a short answer starts fast.
Exit status: 0 done, 1 the input could not be used, 2 the call's words are off.
"""

import gc
import io
import os
import signal
import sys
from collections.abc import Sequence

from bot.commands.parser import build_parser, command_named
from engine.errors import WattclerkError

INPUT_UNUSABLE = 1


def main(argv: Sequence[str] | None = None) -> int:
    """Runs one command and returns its exit status; never a traceback for what a user or an operator can put right."""
    # Whatever the terminal's code page: what we print is UTF-8, and what can't be is escaped as JSON would.
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding="utf-8", errors="backslashreplace")
    arguments = build_parser().parse_args(argv)
    try:
        # What is imported stays; collecting garbage among it meanwhile would cost a short answer a tenth of its time.
        gc.disable()
        run = command_named(arguments.command)
        gc.freeze()
        gc.enable()
        status = run(arguments)
        sys.stdout.flush()
    except WattclerkError as error:
        for line in str(error).splitlines():
            print(f"wattclerk: {line}", file=sys.stderr)
        return INPUT_UNUSABLE
    except BrokenPipeError:
        # The reader of our output has seen enough; the interpreter must not try to flush into the closed pipe again.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        return 128 + signal.SIGINT
    return status


if __name__ == "__main__":
    sys.exit(main())

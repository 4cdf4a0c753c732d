"""``wattclerk backup FILE``: a consistent copy of everything that is kept, while it is in use."""

import argparse
from contextlib import closing
from pathlib import Path

from bot.settings import load_settings
from bot.store.opened import open_kept


def run(arguments: argparse.Namespace) -> int:
    """Writes the copy."""
    target = Path(arguments.file)
    settings = load_settings()
    with closing(open_kept(settings)) as store:
        store.backup(target)
    print(f"{settings.place} is copied to {target} ({target.stat().st_size:,} bytes)")
    return 0

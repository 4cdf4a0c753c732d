"""``wattclerk requote QUOTE``: the job of a kept quote at today's prices, as its next revision."""

import argparse
from contextlib import closing

from bot.commands.answering import paths_given
from bot.settings import load_settings
from bot.store.kept import kept_quote, revised
from bot.store.opened import open_kept


def run(arguments: argparse.Namespace) -> int:
    """Keeps the revision and says under which id; nothing where nothing changed."""
    settings = load_settings(**paths_given(arguments))
    with closing(open_kept(settings)) as store:
        kept = kept_quote(store, arguments.quote)
        name = revised(settings, store, kept)
        if name is None:
            print(f"quote {kept.id} comes out the same today: there is nothing to revise")
            return 0
        revision = kept_quote(store, name)
    before, after = kept.quote["totals"], revision.quote["totals"]
    print(f"revision {revision.revision} of quote {kept.id} is kept as {name}")
    for total in ("project_cost", "simple_payback_years"):
        if before.get(total) != after.get(total):
            print(f"{total}: {before.get(total)} before, {after.get(total)} now")
    return 0

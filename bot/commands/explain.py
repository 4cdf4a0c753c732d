"""``wattclerk explain QUOTE FIGURE``: how a figure of a kept quote came about."""

import argparse
from contextlib import closing

from bot.opening import open_tables
from bot.replies import explain_figure
from bot.replies.layout import laid_out
from bot.settings import load_settings
from bot.store.figures import Traces
from bot.store.kept import kept_quote
from bot.store.opened import open_kept
from bot.traces import lines_of_kept, spread_of_kept
from bot.usable import UnusableInput


def run(arguments: argparse.Namespace) -> int:
    """Prints the working of the figure, or the figures that there are."""
    settings = load_settings()
    with closing(open_kept(settings)) as store:
        kept = kept_quote(store, arguments.quote)
    traces = Traces.from_json(kept.figures)
    if arguments.figure is None:
        for path in sorted(traces.roots):
            print(path)
        return 0
    figure = traces.find(arguments.figure)
    if figure is None:
        raise UnusableInput(
            f"the quote has no figure {arguments.figure!r}: 'wattclerk explain {kept.id}' lists them"
        )
    text = explain_figure(
        figure,
        kept.language,
        spread=spread_of_kept(kept, figure) if figure is traces.roots.get(f"totals.{figure.name}") else None,
        tables=open_tables(settings.tables),
        where=lines_of_kept(kept, traces),
    )
    print(laid_out(text, "terminal"))
    return 0

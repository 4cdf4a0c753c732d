"""``wattclerk recompute QUOTE``: a kept quote made again from what it was made from."""

import argparse
from contextlib import closing

from bot.settings import load_settings
from bot.store.kept import kept_quote, made_again
from bot.store.opened import open_kept


def run(arguments: argparse.Namespace) -> int:
    """Says whether the quote comes out the same; 1 where it does not."""
    with closing(open_kept(load_settings())) as store:
        kept = kept_quote(store, arguments.quote)
        again = made_again(store, kept)
    if arguments.json:
        print(again.body.decode())
    elif again.same:
        print(
            f"quote {kept.id} of {kept.made_at} comes out the same, byte for byte ({len(again.body):,} bytes)"
        )
    else:
        print(f"quote {kept.id} of {kept.made_at} comes out differently")
        if kept.erased_at is not None:
            print(
                f"its customer's data was erased on {kept.erased_at[:10]}, the place of the job with it: the figures are kept,"
                " and can't all be made again"
            )
        elif again.program != again.then.program:
            print(
                f"it was made by program {again.then.program}, this is {again.program}: run that version to get the same"
            )
        else:
            print("it was made by this very program: what is kept was changed, or a library was")
    return 0 if again.same else 1

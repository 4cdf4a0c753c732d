"""``wattclerk link``: addresses that show a customer one quote, for a while."""

import argparse
from datetime import timedelta

from bot.clock import stamp, utc_now
from bot.commands.staff import BY
from bot.inbox import new_secret
from bot.settings import DEFAULT_PORT, Settings, load_settings
from bot.staff.roll import Roll
from bot.staff.secrets import kept_form
from bot.staff.secrets import new_secret as new_token
from bot.store.opened import open_kept


def run(arguments: argparse.Namespace) -> int:
    """Makes, lists or closes links."""
    settings = load_settings()
    now = utc_now()
    at = stamp(now)
    store = open_kept(settings)
    try:
        if arguments.act == "make":
            token = new_token()
            until = stamp(now + timedelta(days=arguments.days or settings.link_days))
            with store.transaction() as session:
                roll = Roll(session.connection)
                roll.add_link(new_secret(), kept_form(token), arguments.name, BY, at, until)
                roll.note(BY, "link_made", arguments.name, at)
            print(f"{_address(settings)}/q/{token}")
            print(f"Shows this one quote until {until}. Copy it now: only its fingerprint is kept.")
        elif arguments.act == "list":
            with store.snapshot() as session:
                links = Roll(session.connection).links(arguments.name)
            for link in links:
                state = "closed" if link.revoked_at else "open" if link.is_open(at) else "ran out"
                print(f"{link.id}\t{state}\tuntil {link.expires_at}\tmade by {link.made_by} {link.made_at}")
        else:
            with store.transaction() as session:
                roll = Roll(session.connection)
                quote = roll.revoke(arguments.name, at)
                roll.note(BY, "link_closed", quote, at)
            print("The link is closed.")
    finally:
        store.close()
    return 0


def _address(settings: Settings) -> str:
    if settings.origins:
        return settings.origins[0]
    host = f"[{settings.host}]" if ":" in settings.host else settings.host
    return f"http://{host}:{settings.port or DEFAULT_PORT}"

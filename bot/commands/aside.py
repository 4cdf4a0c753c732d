"""``wattclerk aside``: what failed for good, with its reason; run again where asked."""

import argparse
import json
import re
from contextlib import closing
from dataclasses import asdict
from typing import Final

from bot.clock import stamp, utc_now
from bot.settings import load_settings
from bot.store.opened import open_kept
from bot.store.records import SetAside
from bot.usable import UnusableInput

_NAME: Final = re.compile(r"([mr])([0-9]{1,18})")
_KINDS: Final = {"m": "message", "r": "reply"}


def run(arguments: argparse.Namespace) -> int:
    """Lists, or has run again, what was set aside."""
    with closing(open_kept(load_settings())) as store:
        with store.snapshot() as session:
            found = session.aside()
        if arguments.again:
            wanted = _wanted(arguments.again, found)
            with store.transaction() as session:
                for each in wanted:
                    session.again(each.kind, each.number, stamp(utc_now()))
            print(f"{len(wanted)} will be run again by the server, within seconds where one is running")
            return 0
    for each in found:
        if arguments.json:
            print(json.dumps({"name": _name(each)} | asdict(each)))
        else:
            print(
                f"{_name(each):>6}  {each.received_at}  {each.channel}  {each.attempts} attempts  {each.reason}"
                f"  (conversation {each.conversation})"
            )
    if not found and not arguments.json:
        print("nothing is set aside")
    return 0


def _wanted(names: list[str], found: list[SetAside]) -> list[SetAside]:
    if names == ["all"]:
        return found
    by_name = {_name(each): each for each in found}
    for name in names:
        if not _NAME.fullmatch(name):
            raise UnusableInput(f"{name!r} names nothing: a message is called m12, a reply r7")
        if name not in by_name:
            raise UnusableInput(f"{_KINDS[name[0]]} {name} is not set aside: 'wattclerk aside' lists what is")
    return [by_name[name] for name in dict.fromkeys(names)]


def _name(each: SetAside) -> str:
    return f"{each.kind[0]}{each.number}"

"""The words of the commands about staff, links and customers' data."""

import argparse
from typing import Any

Commands = Any
"""What ``ArgumentParser.add_subparsers`` gives; its type has no public name."""


def add_staff_commands(commands: Commands) -> None:
    """Adds ``staff``, ``link`` and ``person``."""
    _staff(commands)
    _link(commands)
    _person(commands)


def _staff(commands: Commands) -> None:
    staff = commands.add_parser(
        "staff",
        help="accounts of those who sign in",
        description="Lists, makes, changes and removes staff accounts. A password is typed unseen, or piped in as one line.",
        epilog="example: wattclerk staff add maria.lopez --role owner",
    )
    acts = staff.add_subparsers(dest="act", metavar="ACT", required=True)
    acts.add_parser("list", help="all accounts with their roles")
    add = acts.add_parser("add", help="make an account")
    role = acts.add_parser("role", help="change a role")
    password = acts.add_parser("password", help="change a password and sign the account out everywhere")
    remove = acts.add_parser("remove", help="remove an account and sign it out everywhere")
    for each in (add, role, password, remove):
        each.add_argument("name", metavar="NAME", help="of the account, like maria.lopez")
    for each in (add, role):
        each.add_argument(
            "--role", required=True, choices=("clerk", "manager", "owner"), help="what it may do"
        )
    add.add_argument(
        "--no-password",
        action="store_true",
        help="for somebody whom the reverse proxy signs in (proxy_user_header)",
    )


def _link(commands: Commands) -> None:
    link = commands.add_parser(
        "link",
        help="addresses that show a customer one quote",
        description="Makes, lists and closes addresses that show a customer one quote, for a while.",
        epilog="example: wattclerk link make QUOTE --days 14",
    )
    acts = link.add_subparsers(dest="act", metavar="ACT", required=True)
    make = acts.add_parser("make", help="make a link to a quote")
    make.add_argument("name", metavar="QUOTE", help="the quote's id")
    make.add_argument(
        "--days", type=_days, help="how long it shows the quote (default: link_days of the settings, 30)"
    )
    listed = acts.add_parser("list", help="the links of a quote")
    listed.add_argument("name", metavar="QUOTE", help="the quote's id")
    close = acts.add_parser("close", help="close a link for good")
    close.add_argument("name", metavar="LINK", help="the link's id, as listed")


def _person(commands: Commands) -> None:
    person = commands.add_parser(
        "person",
        help="take out or erase what is kept about a customer",
        description="Takes out or erases what is kept about a customer, or what is old. Quotes stay in the books with their"
        " figures, without names and places.",
        epilog="example: wattclerk person export --sender maria@example.com --output maria.json",
    )
    acts = person.add_subparsers(dest="act", metavar="ACT", required=True)
    export = acts.add_parser("export", help="everything that is kept about somebody, as JSON")
    export.add_argument("--output", metavar="FILE", help="where to (default: standard output)")
    erase = acts.add_parser("erase", help="erase somebody's messages, answers and addresses")
    purge = acts.add_parser("purge", help="erase conversations that are older than so many days")
    purge.add_argument(
        "--older-than", metavar="DAYS", type=_days, required=True, help="days since the last message"
    )
    for each in (export, erase):
        whose = each.add_mutually_exclusive_group(required=True)
        whose.add_argument("--conversation", metavar="ID", help="a conversation's id")
        whose.add_argument("--sender", metavar="ADDRESS", help="a mail address or a telephone number")
        whose.add_argument("--customer", metavar="NAME", help="a customer's name, as written in the messages")
    for each in (erase, purge):
        each.add_argument("--yes", action="store_true", help="do it; it can't be undone")


def _days(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1 <= int(text[:6]) <= 36_500):
        raise argparse.ArgumentTypeError(f"{text!r} is not a number of days from 1 to 36500")
    return int(text)

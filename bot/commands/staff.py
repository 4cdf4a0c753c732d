"""``wattclerk staff``: the accounts of those who sign in."""

import argparse

from bot.clock import stamp, utc_now
from bot.commands.password_in import password_given
from bot.settings import load_settings
from bot.staff.passwords import hashed
from bot.staff.roll import Roll, usable_name, usable_role
from bot.store.opened import open_store
from bot.store.session import Session

BY = "command line"


def run(arguments: argparse.Namespace) -> int:
    """Lists, makes, changes or removes accounts."""
    settings = load_settings()
    act = arguments.act
    name = "" if act == "list" else usable_name(arguments.name)
    role = usable_role(arguments.role) if act in {"add", "role"} else None
    password = None
    if act == "password" or (act == "add" and not arguments.no_password):
        password = hashed(password_given(), name)
    at = stamp(utc_now())

    def change(session: Session) -> str:
        roll = Roll(session.connection)
        if act == "add" and role is not None:
            roll.add(name, role, password, at)
            roll.note(BY, "account_added", f"{name}, {role}", at)
            return f"{name} can sign in as {role}."
        if act == "role" and role is not None:
            roll.set_role(name, role)
            roll.note(BY, "account_role", f"{name}, {role}", at)
            return f"{name} is {role} now."
        if act == "password" and password is not None:
            roll.set_password(name, password)
            roll.note(BY, "account_password", name, at)
            return f"{name} has a new password, and is signed out everywhere."
        roll.remove(name)
        roll.note(BY, "account_removed", name, at)
        return f"{name} is removed, and signed out everywhere."

    store = open_store(settings)
    try:
        if act == "list":
            with store.snapshot() as session:
                accounts = Roll(session.connection).accounts()
            for each in accounts:
                print(
                    f"{each.name}\t{each.role}\t{'password' if each.password else 'proxy only'}\t{each.made_at}"
                )
            return 0
        with store.transaction() as session:
            line = change(session)
    finally:
        store.close()
    print(line)
    return 0

"""Watchers killed again and again while mail comes in, and what came of it: lost, doubled, untagged.

    python -m tests.system.mail_faults --kills 200                   # two watchers on one folder, on both stores
    python -m tests.system.mail_faults --kills 200 --store sqlite

Half of the kills come at a step of a mail's way that is drawn, the others at any time. Every tenth fault breaks the
connections instead, every twentieth starts the mail server anew.
"""

import argparse
import random  # noqa: TID251  which fault comes when
import tempfile
import time
from collections.abc import Sequence
from contextlib import closing
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Final

from bot.settings import load_settings
from tests.dovecot import MailServer, dovecot_program
from tests.postgres import Cluster, postgres_programs
from tests.system.mail_worker import STEPS, Outcome, environment, mails, outcome, settled, started, waits

PATIENCE: Final = 60.0
LIFE: Final = (0.4, 1.6)
"""Seconds between kills. Less, and on a busy machine no process lives long enough to read a mail: twelve that die over one
hand it to a person, as they would over a mail that kills its reader, and it is counted as lost here."""


def kills(
    server: MailServer, environ: dict[str, str], user: str, count: int, name: str, seed: int = 7
) -> Outcome:
    """Two watchers; ``count`` of them are killed; then what is left is finished in peace."""
    chosen = random.Random(seed)  # noqa: S311  a mixture, no secret
    sent = mails(max(10, 2 * count), seed)
    settings, delivered, done = load_settings(environ), 0, 0
    workers: list[BaseProcess | None] = [None, None]
    while done < count:
        # Mail keeps coming: about two for each kill.
        until = min(len(sent), delivered + chosen.randint(0, 4))
        server.deliver(user, *(each.data for each in sent[delivered:until]))
        delivered = until
        for number, worker in enumerate(workers):
            if worker is None:
                at = chosen.choice((*STEPS, *[""] * len(STEPS)))
                workers[number] = started(environ, at, nth=chosen.randint(1, 4))
        time.sleep(chosen.uniform(*LIFE))
        if done % 20 == 19:
            server.stop()
            time.sleep(0.1)
            server.start()
        elif done % 10 == 9:
            server.cut_connections()
        victim = chosen.randrange(2)
        for number, worker in enumerate(workers):
            if worker is not None and (number == victim or not worker.is_alive()):
                worker.kill()
                worker.join()
                workers[number] = None
                done += 1
    for worker in workers:
        if worker is not None:
            worker.kill()
            worker.join()
    server.deliver(user, *(each.data for each in sent[delivered:]))
    last, known, since = started(environ), -1, time.monotonic()
    # However slow the machine is: as long as it goes on, or something waits to be tried again.
    while (now := settled(settings)) < len(sent) and time.monotonic() < since + PATIENCE:
        if now != known or waits(settings):
            known, since = now, time.monotonic()
        if not last.is_alive():
            last = started(environ)
        time.sleep(0.2)
    time.sleep(0.5)
    last.terminate()
    last.join(30)
    return outcome(name, server, user, settings, sent, done)


def main(argv: Sequence[str] | None = None) -> int:
    """Prints what was counted; status 1 where anything was lost or doubled."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--kills", type=int, default=200, metavar="N")
    parser.add_argument("--store", choices=("sqlite", "postgres", "both"), default="both")
    arguments = parser.parse_args(argv)
    program, programs = dovecot_program(), postgres_programs()
    if program is None:
        print("LEFT OUT: everything: there is no Dovecot on this machine")
        return 1
    clean = True
    for store in ("sqlite", "postgres"):
        if arguments.store not in (store, "both"):
            continue
        if store == "postgres" and programs is None:
            print("LEFT OUT: the PostgreSQL store: there is no PostgreSQL on this machine")
            continue
        with closing(MailServer(program, quota=1_000_000)) as server, tempfile.TemporaryDirectory() as folder:
            environ = environment(server, "desk", Path(folder))
            cluster = Cluster(programs) if store == "postgres" and programs is not None else None
            try:
                if cluster is not None:
                    environ["WATTCLERK_DATABASE"] = cluster.new_database()
                begun = time.monotonic()
                done = kills(server, environ, "desk", arguments.kills, f"two watchers killed, {store}")
                print(f"{done}  ({time.monotonic() - begun:.0f} s)", flush=True)
                clean = clean and done.clean
            finally:
                if cluster is not None:
                    cluster.close()
    return 0 if clean else 1


if __name__ == "__main__":
    raise SystemExit(main())

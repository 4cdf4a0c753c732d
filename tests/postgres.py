"""A private PostgreSQL cluster in a temporary folder, from Debian's binaries, run by an unprivileged user."""

import os
import pwd
import shutil
import subprocess
import tempfile
from pathlib import Path

import psycopg

_USER = "nobody"


def postgres_programs() -> Path | None:
    """The folder of ``initdb`` and ``pg_ctl``; ``None`` where PostgreSQL is not installed."""
    named = os.environ.get("WATTCLERK_POSTGRES_BIN")
    if named:
        return Path(named)
    found = shutil.which("pg_ctl")
    if found is not None:
        return Path(found).resolve().parent
    versions = sorted(
        Path("/usr/lib/postgresql").glob("*/bin/pg_ctl"), key=lambda p: int(p.parts[-3].split(".")[0])
    )
    return versions[-1].parent if versions else None


class Cluster:
    """A running server; ``url`` addresses its first database."""

    def __init__(self, programs: Path, *, flushing: bool = False) -> None:
        """Starts it. Without ``flushing`` a power loss would lose what was acknowledged, but no process that dies does."""
        self.programs = programs
        self._flushing = "on" if flushing else "off"
        self.folder = Path(tempfile.mkdtemp(prefix="wattclerk-pg-"))
        self.give(self.folder)
        self._run(
            "initdb",
            "-D",
            self._data,
            "-U",
            "app",
            "-A",
            "trust",
            "--no-sync",
            "-E",
            "UTF8",
            "--locale=C.UTF-8",
        )
        self._made = 0
        self._reused: str | None = None
        self.start()

    def give(self, folder: Path) -> None:
        """Makes ``folder`` the server's own. PostgreSQL refuses to run as root."""
        if os.geteuid() == 0:
            user = pwd.getpwnam(_USER)
            os.chown(folder, user.pw_uid, user.pw_gid)

    @property
    def _data(self) -> str:
        return str(self.folder / "data")

    def start(self) -> None:
        options = f"-c fsync={self._flushing} -c listen_addresses= -c unix_socket_directories={self.folder} -c shared_buffers=64MB -c max_connections=60"
        self._run(
            "pg_ctl",
            "-D",
            self._data,
            "-w",
            "-t",
            "30",
            "-l",
            str(self.folder / "log"),
            "-o",
            options,
            "start",
        )

    def stop(self, how: str = "fast") -> None:
        self._run("pg_ctl", "-D", self._data, "-w", "-t", "30", "-m", how, "stop")

    def restart(self, how: str = "immediate") -> None:
        """``immediate`` is as if the power had gone: recovery follows."""
        self.stop(how)
        self.start()

    def url(self, database: str = "postgres") -> str:
        return f"postgresql://app@/{database}?host={self.folder}"

    def new_database(self) -> str:
        """Makes an empty database and gives its address."""
        self._made += 1
        name = f"test{self._made}"
        with psycopg.connect(self.url(), autocommit=True) as connection:
            connection.execute(f"create database {name}")  # type: ignore[arg-type]
        return self.url(name)

    def emptied_database(self) -> str:
        """The address of a database that is used again and again, with nothing in it; cheaper than a new one."""
        if self._reused is None:
            self._reused = self.new_database()
        else:
            with psycopg.connect(self._reused, autocommit=True) as connection:
                tables = connection.execute(
                    "select tablename from pg_tables where schemaname = 'public'"
                ).fetchall()
                names = ", ".join(name for (name,) in tables if name != "migrations")
                connection.execute(f"truncate {names} restart identity")  # type: ignore[arg-type]
        return self._reused

    def close(self) -> None:
        self.stop("immediate")
        shutil.rmtree(self.folder, ignore_errors=True)

    def _run(self, program: str, *arguments: str) -> None:
        as_user = []
        if os.geteuid() == 0:
            as_user = ["setpriv", f"--reuid={_USER}", "--regid=nogroup", "--clear-groups"]
        done = subprocess.run(
            [*as_user, str(self.programs / program), *arguments],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE if program == "initdb" else subprocess.DEVNULL,
            stderr=subprocess.STDOUT if program == "initdb" else subprocess.DEVNULL,
            cwd=self.folder,
            text=True,
            check=False,
        )
        if done.returncode != 0:
            raise RuntimeError(f"{program} failed: {(done.stdout or '')[-400:]}")

"""A private Dovecot in a temporary folder, run by an unprivileged user: IMAP and LMTP on loopback, any user, one password."""

import grp
import os
import pwd
import shutil
import signal
import smtplib
import socket
import ssl
import subprocess
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from imapclient import IMAPClient

PASSWORD: Final = 'sécret "12\\" pole'
"""Whatever a person may choose."""
TAGLESS: Final = "Tagless"
"""A folder whose mails take no keywords."""
SEALED: Final = "Sealed"
"""A folder that nothing can be laid into."""
QUOTA_KILOBYTES: Final = 3000
_USER: Final = "nobody"
_WITHOUT_IDLE: Final = "IMAP4rev1 LITERAL+ SASL-IR UIDPLUS SPECIAL-USE NAMESPACE UNSELECT"
_CONFIG: Final = """
base_dir = {folder}/run
state_dir = {folder}/state
log_path = {folder}/log
protocols = imap lmtp
listen = 127.0.0.1
disable_plaintext_auth = no
default_internal_user = {user}
default_login_user = {user}
default_internal_group = {group}
first_valid_uid = 0
first_valid_gid = 0
auth_failure_delay = 0
auth_mechanisms = plain login
mail_location = {form}:{folder}/mail/%n
mail_uid = {uid}
mail_gid = {gid}
mail_plugins = quota acl
mail_fsync = {fsync}
imap_idle_notify_interval = 2 mins
shutdown_clients = yes
postmaster_address = postmaster@example.test
passdb {{
  driver = passwd-file
  args = scheme=PLAIN username_format=any {folder}/users
  override_fields = user=%u
}}
userdb {{
  driver = static
  args = uid={uid} gid={gid} home={folder}/mail/%n
}}
namespace inbox {{
  inbox = yes
  separator = /
  mailbox Drafts {{
    auto = subscribe
    special_use = \\Drafts
  }}
  mailbox Sent {{
    auto = subscribe
    special_use = \\Sent
  }}
}}
protocol imap {{
  mail_plugins = quota acl imap_quota
  mail_max_userip_connections = 50
  {capability}
}}
plugin {{
  acl = vfile:{folder}/acl
  quota = count:User quota
  quota_vsizes = yes
  quota_rule = *:storage={quota}K
  quota_grace = 0
}}
service imap-login {{
  chroot =
  inet_listener imap {{
    address = 127.0.0.1
    port = {imap}
  }}
  inet_listener imaps {{
    address = 127.0.0.1
    port = {imaps}
    ssl = yes
  }}
}}
service lmtp {{
  inet_listener lmtp {{
    address = 127.0.0.1
    port = {lmtp}
  }}
}}
service anvil {{
  chroot =
  unix_listener anvil-auth-penalty {{
    mode = 0
  }}
}}
service imap {{
  chroot =
}}
service stats {{
  chroot =
}}
{tls}
"""


def dovecot_program() -> str | None:
    """Dovecot with LMTP; ``None`` where it is not installed."""
    found = shutil.which("dovecot") or shutil.which("dovecot", path="/usr/sbin:/usr/local/sbin")
    lmtp = any(Path(folder, "lmtp").exists() for folder in ("/usr/lib/dovecot", "/usr/libexec/dovecot"))
    return found if lmtp else None


@dataclass(frozen=True)
class Lying:
    """A message as it lies in a folder."""

    uid: int
    flags: frozenset[str]
    data: bytes


class MailServer:
    """A running server; ``imap``, ``imaps`` and ``lmtp`` are its ports."""

    def __init__(
        self,
        program: str,
        *,
        idle: bool = True,
        certificate: tuple[Path, Path] | None = None,
        quota: int = QUOTA_KILOBYTES,
    ) -> None:
        """Starts it.

        Args:
            program: Dovecot's.
            idle: whether it tells of new mail by itself.
            certificate: certificate and key, for TLS.
            quota: of each user [KB].
        """
        self.program = program
        self.folder = Path(tempfile.mkdtemp(prefix="wattclerk-dovecot-"))
        self.folder.chmod(0o755)
        (self.folder / "mail").mkdir()
        (self.folder / "users").write_text(f"any:{{PLAIN}}{PASSWORD}\n", "utf-8")
        # Folders of these names have fewer rights than others.
        (self.folder / "acl").write_text(f"{TAGLESS} owner lrstei\n{SEALED} owner lrwst\n", "utf-8")
        self.imap, self.imaps, self.lmtp = free_port(), free_port(), free_port()
        owner = pwd.getpwnam(_USER) if os.geteuid() == 0 else pwd.getpwuid(os.getuid())
        self._tls = ""
        if certificate is not None:
            for path, name in zip(certificate, ("cert.pem", "key.pem"), strict=True):
                shutil.copy(path, self.folder / name)
            self._tls = f"ssl = yes\nssl_cert = <{self.folder}/cert.pem\nssl_key = <{self.folder}/key.pem\n"
        self._words = {
            "folder": self.folder, "user": owner.pw_name, "group": grp.getgrgid(owner.pw_gid).gr_name, "uid": owner.pw_uid,
            "gid": owner.pw_gid, "form": "maildir", "fsync": "optimized", "imap": self.imap, "imaps": self.imaps,
            "lmtp": self.lmtp, "quota": quota,
            "capability": "" if idle else f"imap_capability = {_WITHOUT_IDLE}", "tls": self._tls or "ssl = no",
        }  # fmt: skip
        (self.folder / "dovecot.conf").write_text(_CONFIG.format(**self._words), "utf-8")
        if os.geteuid() == 0:
            for path in (self.folder, *self.folder.rglob("*")):
                os.chown(path, owner.pw_uid, owner.pw_gid)
        self._process: subprocess.Popen[bytes] | None = None
        self._turning = threading.Lock()
        self.start()

    def start(self) -> None:
        with self._turning:
            self._start()

    def _start(self) -> None:
        as_user = []
        if os.geteuid() == 0:
            as_user = ["setpriv", f"--reuid={_USER}", "--regid=nogroup", "--clear-groups"]
        self._process = subprocess.Popen(
            [*as_user, self.program, "-F", "-c", str(self.folder / "dovecot.conf")],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            cwd=self.folder,
        )
        until = time.monotonic() + 15
        for port in (self.imap, self.lmtp):
            while True:
                try:
                    with socket.create_connection(("127.0.0.1", port), timeout=5) as opened:
                        if opened.recv(4):
                            break
                except OSError:
                    if self._process.poll() is not None or time.monotonic() > until:
                        raise RuntimeError(f"Dovecot does not start: {self.said()}") from None
                    time.sleep(0.01)

    def said(self) -> str:
        log = self.folder / "log"
        return log.read_text("utf-8", "replace")[-1500:] if log.exists() else "(nothing)"

    def stop(self) -> None:
        """All at once, connections included."""
        with self._turning:
            self._stop()

    def _stop(self) -> None:
        if self._process is not None:
            self._process.send_signal(signal.SIGTERM)
            self._process.wait(20)
            assert self._process.stderr is not None
            self._process.stderr.close()
            self._process = None

    @property
    def is_running(self) -> bool:
        return self._process is not None

    @property
    def is_listening(self) -> bool:
        """Neither stopped nor on its way up or down."""
        with self._turning:
            return self._process is not None

    def cut_connections(self) -> int:
        """Kills the processes that hold IMAP sessions, as if the connections broke; how many those were."""
        cut = 0
        for pid in self._children():
            try:
                name = Path(f"/proc/{pid}/comm").read_text("utf-8").strip()
                if name == "imap":
                    os.kill(pid, signal.SIGKILL)
                    cut += 1
            except OSError:
                continue
        return cut

    def _children(self) -> list[int]:
        assert self._process is not None
        tasks = Path(f"/proc/{self._process.pid}/task/{self._process.pid}/children")
        return [int(pid) for pid in tasks.read_text("ascii").split()]

    def close(self) -> None:
        self.stop()
        shutil.rmtree(self.folder, ignore_errors=True)

    # What mail people do

    def deliver(self, user: str, *messages: bytes) -> None:
        """Delivers messages into INBOX, as a mail system does."""
        with smtplib.LMTP("127.0.0.1", self.lmtp) as lmtp:
            for message in messages:
                lmtp.sendmail("sender@example.com", [f"{user}@example.test"], message)

    @contextmanager
    def session(self, user: str) -> Iterator[IMAPClient]:
        """A staff member's own mail program."""
        client = IMAPClient("127.0.0.1", self.imap, ssl=False, timeout=30)
        client.plain_login(user, PASSWORD)
        client.normalise_times = False
        try:
            yield client
        finally:
            client.logout()

    def lying(self, user: str, folder: str) -> list[Lying]:
        with self.session(user) as client:
            client.select_folder(folder, readonly=True)
            uids = client.search("ALL")
            found = client.fetch(uids, ["FLAGS", "BODY.PEEK[]"]) if uids else {}
        return [
            Lying(uid, frozenset(flag.decode() for flag in data[b"FLAGS"]), data[b"BODY[]"])
            for uid, data in sorted(found.items())
        ]


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def make_certificates(folder: Path, host: str = "localhost") -> tuple[Path, tuple[Path, Path]]:
    """An authority of our own, and a certificate of it for ``host`` with its key; by the ``openssl`` program."""
    authority, request = folder / "authority.pem", folder / "server.csr"
    keys = {name: folder / f"{name}.key" for name in ("authority", "server")}
    _openssl("req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes", "-days", "2", "-subj",
             "/CN=Test authority", "-keyout", str(keys["authority"]), "-out", str(authority))  # fmt: skip
    _openssl("req", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes", "-subj", f"/CN={host}",
             "-keyout", str(keys["server"]), "-out", str(request))  # fmt: skip
    names = folder / "names"
    names.write_text(f"subjectAltName=DNS:{host}\n", "utf-8")
    certificate = folder / "server.pem"
    _openssl("x509", "-req", "-in", str(request), "-CA", str(authority), "-CAkey", str(keys["authority"]), "-CAcreateserial",
             "-days", "2", "-extfile", str(names), "-out", str(certificate))  # fmt: skip
    ssl.create_default_context(cafile=str(authority))
    return authority, (certificate, keys["server"])


def _openssl(*arguments: str) -> None:
    subprocess.run(["openssl", *arguments], check=True, capture_output=True)

"""The set-up scripts and lock files, as far as they can be held without a network."""

import os
import re
import shutil
import subprocess
import tomllib
from pathlib import Path

import pytest

from tests.system.conftest import ROOT

DEPLOY = ROOT / "deploy"
LOCKS = ["requirements.lock", "requirements-test.lock", "requirements-build.lock"]


def normal(name: str) -> str:
    return re.sub(r"[-_.]{1,9}", "-", name).lower()


def pinned(lock: str) -> dict[str, str]:
    text = (DEPLOY / lock).read_text("utf-8")
    return {
        normal(name): version
        for name, version in re.findall(r"^([A-Za-z0-9._-]+)==(\S+)", text, re.MULTILINE)
    }


def needed(requirements: list[str]) -> set[str]:
    names = {re.split(r"[<>=!~\[; ]", requirement, maxsplit=1)[0] for requirement in requirements}
    return {normal(name) for name in names}


@pytest.mark.parametrize("lock", LOCKS)
def test_every_locked_package_has_its_hashes_and_no_address_or_path_of_a_machine(lock: str) -> None:
    text = (DEPLOY / lock).read_text("utf-8")
    entries = re.split(r"^(?=[A-Za-z0-9])", text, flags=re.MULTILINE)[1:]

    assert len(entries) > 5
    assert all("--hash=sha256:" in entry for entry in entries)
    assert "://" not in text
    assert "--index" not in text
    assert not re.search(r"(^|[ =])/[a-z]", text)


def test_the_lock_files_hold_all_that_the_project_says_it_needs() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]

    assert needed(project["dependencies"]) <= pinned("requirements.lock").keys()
    assert needed(project["optional-dependencies"]["dev"]) <= pinned("requirements-test.lock").keys()


def test_the_tests_run_with_the_versions_that_are_served() -> None:
    assert pinned("requirements.lock").items() <= pinned("requirements-test.lock").items()
    # and what compiles is what checks the types
    assert pinned("requirements-build.lock")["mypy"] == pinned("requirements-test.lock")["mypy"]


@pytest.mark.parametrize("script", ["deploy/run", "deploy/test", "deploy/compile", ".ci/run"])
def test_the_scripts_are_executable_bash_without_a_slip_of_syntax(script: str) -> None:
    path = ROOT / script

    assert os.access(path, os.X_OK)
    assert path.read_text("utf-8").startswith("#!/usr/bin/env bash\n")
    assert subprocess.run(["bash", "-n", str(path)], check=False).returncode == 0


@pytest.fixture
def stamped_copy(tmp_path: Path) -> Path:
    """A copy of the set-up scripts with an environment that is already filled, its Python one that tells how it was called."""
    root = tmp_path / "a place with spaces"
    (root / "deploy").mkdir(parents=True)
    for name in ("run", "prepare.sh", *LOCKS):
        target = root / "deploy" / name
        target.write_bytes((DEPLOY / name).read_bytes())
        target.chmod(0o755)
    python = root / ".venv" / "bin" / "python"
    python.parent.mkdir(parents=True)
    python.write_text(
        '#!/bin/sh\necho "args: $*"\necho "data: $WATTCLERK_DATA_FOLDER"\necho "path: $PYTHONPATH"\necho "in: $PWD"\n',
        "utf-8",
    )
    python.chmod(0o755)
    for purpose, lock in (("run", "requirements.lock"), ("compiled", "requirements-build.lock")):
        stamp = subprocess.run(
            ["bash", "-c", f'source "$0/deploy/prepare.sh"; stamp_of {lock}', str(root)],
            capture_output=True,
            text=True,
            check=True,
        )
        (root / ".venv" / f".stamp-{purpose}").write_text(stamp.stdout, "utf-8")
    return root


def run(root: Path, *arguments: str, **environ: str) -> subprocess.CompletedProcess[str]:
    (root.parent / "elsewhere").mkdir(exist_ok=True)
    clean = {k: v for k, v in os.environ.items() if not k.startswith(("WATTCLERK_", "PYTHON"))}
    return subprocess.run(
        [str(root / "deploy" / "run"), *arguments],
        capture_output=True,
        text=True,
        cwd=root.parent / "elsewhere",
        env=clean | environ,
        check=False,
    )


def test_a_filled_environment_is_used_at_once_from_any_folder(stamped_copy: Path) -> None:
    done = run(stamped_copy, "ask", "two words", "--channel", "sms")

    assert done.stderr == ""
    assert done.stdout.splitlines() == [
        "args: -P -m bot ask two words --channel sms",
        f"data: {stamped_copy}/var",
        f"path: {stamped_copy}",
        f"in: {stamped_copy.parent / 'elsewhere'}",
    ]


def test_without_a_command_it_serves(stamped_copy: Path) -> None:
    assert run(stamped_copy).stdout.startswith("args: -P -m bot serve\n")


def test_a_data_folder_that_was_set_is_left_as_it_is(stamped_copy: Path) -> None:
    assert "data: /srv/mine\n" in run(stamped_copy, "ask", "x", WATTCLERK_DATA_FOLDER="/srv/mine").stdout


def test_it_works_through_a_link(stamped_copy: Path) -> None:
    link = stamped_copy.parent / "wattclerk"
    link.symlink_to(stamped_copy / "deploy" / "run")
    done = subprocess.run([str(link), "ask", "x"], capture_output=True, text=True, check=False)

    assert done.stdout.startswith("args: -P -m bot ask x\n")


def test_a_changed_lock_file_asks_for_a_new_environment(stamped_copy: Path) -> None:
    tools = stamped_copy.parent / "tools"
    tools.mkdir()
    for tool in ("bash", "dirname", "readlink", "sha256sum", "cut", "cat"):
        found = shutil.which(tool)
        assert found is not None
        (tools / tool).symlink_to(found)
    with (stamped_copy / "deploy" / "requirements.lock").open("a", encoding="utf-8") as lock:
        lock.write("# changed\n")
    done = run(stamped_copy, "ask", "x", PATH=str(tools))

    assert done.stdout == ""
    assert done.returncode == 1
    assert "Python 3.11 or newer" in done.stderr


def test_the_service_s_example_settings_are_settings() -> None:
    from bot.settings import load_settings

    text = (DEPLOY / "service" / "wattclerk.env.example").read_text("utf-8")
    environ = dict(re.findall(r"^#?(WATTCLERK_[A-Z_]+)=(\S+)$", text, re.MULTILINE))
    settings = load_settings(environ)

    assert len(environ) >= 6
    assert settings.port == 8765
    assert settings.origins == ("https://quotes.example.com",)
    for name in environ:
        assert name.removeprefix("WATTCLERK_").lower() in type(settings).model_fields


def test_the_container_installs_what_is_locked_and_runs_as_nobody_special() -> None:
    text = (DEPLOY / "Containerfile").read_text("utf-8")

    assert "--require-hashes" in text
    assert "-r /tmp/requirements.lock" in text
    assert text.index("USER wattclerk") < text.index("ENTRYPOINT")
    for folder in re.findall(r"^COPY (\w+) \w+$", text, re.MULTILINE):
        assert (ROOT / folder).is_dir(), folder


def test_a_service_that_stops_lets_the_server_end_its_answering_processes() -> None:
    text = (DEPLOY / "service" / "wattclerk.service").read_text("utf-8")

    assert "KillMode=mixed" in text
    assert "serve --workers" in text


def test_the_composed_servers_share_a_database_and_the_proxy_knows_them() -> None:
    from bot.settings import load_settings

    text = (DEPLOY / "compose.yaml").read_text("utf-8")
    environ = dict(re.findall(r"^    (WATTCLERK_[A-Z_]+): \"?(\S+?)\"?$", text, re.MULTILINE))
    environ = {name: re.sub(r"\$\{\w+:-([^}]*)\}", r"\1", value) for name, value in environ.items()}
    environ["WATTCLERK_ORIGINS"] = "http://localhost:8080"
    settings = load_settings(environ)
    servers = re.findall(r"^  (server-\w+): \*server$", text, re.MULTILINE)
    proxy = (DEPLOY / "nginx.conf").read_text("utf-8")

    assert settings.database is not None
    assert len(servers) == 2
    assert all(f"server {name}:8765" in proxy for name in servers)


def test_the_servers_of_the_composed_desk_take_what_is_laid_over_them() -> None:
    from bot.settings import Settings

    whole, over = ((DEPLOY / name).read_text("utf-8") for name in ("compose.yaml", "compose.sending.yaml"))
    named = re.findall(r"^    WATTCLERK_([A-Z_]+):", over, re.MULTILINE)
    assert len(named) == 3
    assert all(name.lower() in Settings.model_fields for name in named)
    assert re.findall(r"^  (server-\w+): ", over, re.MULTILINE) == re.findall(
        r"^  (server-\w+): ", whole, re.MULTILINE
    )
    assert "secrets: [smtp_password]" in over
    assert "  smtp_password:\n    file: ./secrets/smtp_password" in over

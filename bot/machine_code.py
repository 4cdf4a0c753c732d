"""Machine code in place of the interpreted source of the modules that take most time, where it is there and fits.

`deploy/compile.py` makes it, at set-up, into the virtual environment; this module finds it and hands it to the import
system. It gives the same results as the source, faster, so that nothing depends on it:

- It is used only while every source it was made from, and every module of ours that those import, has the bytes that it was
  made from. Who edits one of them runs the edited source at once.
- It is taken only from the environment that runs, where nobody may write but root and whoever owns the program's source.
- A group of modules is compiled as one, for its modules call one another directly: all of a group are used or none.
- ``WATTCLERK_INTERPRETED=1`` leaves it aside.
"""

import json
import os
import sys
import zlib
from collections.abc import Mapping, Sequence
from importlib.machinery import EXTENSION_SUFFIXES, ExtensionFileLoader, ModuleSpec
from pathlib import Path
from types import ModuleType
from typing import Any, Final

PROJECT: Final = Path(__file__).resolve().parent.parent
SWITCH: Final = "WATTCLERK_INTERPRETED"
LAYOUT: Final = 1
"""Of the record; one of another layout is as good as none."""

used: Final[dict[str, str]] = {}
"""What became of each group when this process began: "" where its machine code is used, else why it is not."""


def folder() -> Path:
    """Where this project's machine code is kept, for the Python that runs: several projects may share an environment."""
    return Path(sys.prefix, "compiled", f"{zlib.crc32(os.fsencode(PROJECT)):08x}{EXTENSION_SUFFIXES[0]}")


def record_file() -> Path:
    """What is kept there and from which sources it was made; see `record_of`."""
    return folder() / "record.json"


def record_of(library: str, modules: Sequence[str], sources: Sequence[str]) -> dict[str, Any]:
    """A group's part of the record.

    Args:
        library: the file in `folder` that holds the group's machine code.
        modules: dotted names of the modules in it.
        sources: paths, from the project's folder on, of all that they were made from.
    """
    held = {}
    for source in sources:
        status = (PROJECT / source).stat()
        held[source] = [status.st_size, status.st_mtime_ns, _digest(source)]
    return {"library": library, "modules": list(modules), "sources": held}


def _digest(source: str) -> str:
    import hashlib  # loads a library that a start with fresh machine code has no need of

    return hashlib.blake2b((PROJECT / source).read_bytes(), digest_size=16).hexdigest()


def why_stale(record: Mapping[str, Any]) -> str:
    """Why a group's record does not fit the sources as they are; "" where it does."""
    for source, (size, changed_ns, digest) in record["sources"].items():
        try:
            status = os.stat(f"{PROJECT}/{source}")  # noqa: PTH116  a hundred of these are paid for at each start
            if status.st_size != size or (status.st_mtime_ns != changed_ns and _digest(source) != digest):
                return f"{source} has changed since it was compiled"
        except OSError:
            return f"{source} is gone"
    return ""


def _why_unsafe(path: Path, owners: frozenset[int]) -> str:
    status = path.stat()
    if status.st_uid not in owners:
        return f"{path} belongs to somebody else than the program"
    if status.st_mode & 0o022:
        return f"others than its owner may write to {path}"
    return ""


def read_record() -> tuple[dict[str, Any], str]:
    """The groups' records, or none and why."""
    file = record_file()
    if not hasattr(os, "geteuid") or sys.prefix == sys.base_prefix:
        return {}, "it is kept in virtual environments on POSIX systems only"
    try:
        owners = frozenset({0, os.geteuid(), Path(__file__).stat().st_uid})
        for path in (file.parent, file):
            unsafe = _why_unsafe(path, owners)
            if unsafe:
                return {}, unsafe
        held = json.loads(file.read_bytes())
    except FileNotFoundError:
        return {}, "nothing has been compiled"
    except (OSError, ValueError) as error:
        return {}, f"its record can't be read: {error}"
    if held.get("layout") != LAYOUT or held.get("project") != str(PROJECT):
        return {}, "its record is of another version or place of the program"
    for name, record in held["groups"].items():
        library = file.parent / record["library"]
        if not library.is_file():
            return {}, f"{library} is gone"
        unsafe = _why_unsafe(library, owners)
        if unsafe:
            return {}, f"{name}: {unsafe}"
    return held["groups"], ""


class _Finder:
    """Finds the modules of the groups that are used, before the import system looks for their sources."""

    def __init__(self) -> None:
        self.libraries: dict[str, str] = {}

    def find_spec(
        self, name: str, path: Sequence[str] | None = None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        library = self.libraries.get(name)
        if library is None:
            return None
        spec = ModuleSpec(name, ExtensionFileLoader(name, library), origin=library)
        spec.has_location = True
        return spec


def take_over() -> None:
    """Let the machine code that fits be imported in place of its sources; once, before any of those is imported."""
    if used or os.environ.get(SWITCH, "0") not in ("", "0"):
        return
    groups, why_not = read_record()
    if why_not:
        used["all"] = why_not
        return
    finder = _Finder()
    for group, record in groups.items():
        early = next((name for name in record["modules"] if name in sys.modules), None)
        used[group] = (
            f"{early} was imported before it could be offered" if early is not None else why_stale(record)
        )
        if not used[group]:
            library = str(folder() / record["library"])
            finder.libraries |= dict.fromkeys((*record["modules"], f"{group}__mypyc"), library)
    if finder.libraries:
        sys.meta_path.insert(0, finder)

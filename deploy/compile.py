"""Compiles the modules of `deploy/compiled.toml` ahead of time, into the virtual environment: `python deploy/compile.py`.

The machine code is found, and left aside when its sources change, by `bot/machine_code.py`. Needs mypyc (it comes with mypy;
pinned in requirements-build.lock), a C compiler and Python's header files.

    --possible   only say whether a compiler and the header files are there
    --if-stale   do nothing where all that is there fits the sources

Exit status: 0 done, 1 a module can't be compiled, 3 not possible on this machine.
"""

import argparse
import ast
import hashlib
import json
import os
import shlex
import shutil
import subprocess
import sys
import sysconfig
import tempfile
import time
import tomllib
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any, Final

ROOT: Final = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from bot.machine_code import LAYOUT, PROJECT, folder, read_record, record_file, record_of, why_stale  # noqa: E402

CANNOT: Final = 1
NOT_HERE: Final = 3
GROUPS: Final = ROOT / "deploy" / "compiled.toml"
OURS: Final = ("bot", "engine")
SETTINGS: Final = """\
[mypy]
python_version = {python}
ignore_missing_imports = True
follow_imports = silent
[mypy-pydantic.*,pydantic_core.*,annotated_types.*,numpy.*,rapidfuzz.*]
# what they hold is no business of the machine code, and following them takes longer than all the rest
follow_imports = skip
follow_imports_for_stubs = True
"""


def missing() -> str:
    """What keeps modules from being compiled on this machine; "" where nothing does."""
    if os.name != "posix" or sys.prefix == sys.base_prefix:
        return "machine code is kept in virtual environments on POSIX systems only"
    compiler = shlex.split(sysconfig.get_config_var("CC") or "cc")[0]
    if shutil.which(compiler) is None:
        return f"there is no C compiler ({compiler})"
    if not Path(sysconfig.get_path("include"), "Python.h").is_file():
        return "Python's header files (Python.h) are missing"
    return ""


def members(group: dict[str, Any]) -> list[str]:
    """Paths of the modules that a group compiles."""
    named = [
        str(path.relative_to(ROOT)) for package in group["packages"] for path in (ROOT / package).glob("*.py")
    ]
    left_out = {
        f"{package}/{name}.py" for package in group["packages"] for name in ("__init__", *group["leave_out"])
    }
    return sorted(path for path in named if path not in left_out)


def _module_file(name: str) -> str | None:
    """Path of one of our modules or packages by its dotted name."""
    stem = name.replace(".", "/")
    return next((path for path in (f"{stem}.py", f"{stem}/__init__.py") if (ROOT / path).is_file()), None)


def imported(source: str) -> set[str]:
    """Paths of our modules that a module imports, wherever in it."""
    names: set[str] = set()
    for node in ast.walk(ast.parse((ROOT / source).read_bytes())):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    parents = {name.rsplit(".", cut)[0] for name in names for cut in range(name.count(".") + 1)}
    found = {_module_file(name) for name in names | parents if name.split(".")[0] in OURS}
    return {path for path in found if path is not None}


def closure(sources: list[str]) -> list[str]:
    """The sources and all of ours that they import, directly or not: what the compiler may have drawn on."""
    known, new = set(sources), set(sources)
    while new:
        new = set().union(*(imported(source) for source in new)) - known
        known |= new
    return sorted(known)


def with_final_constants(source: str) -> str:
    """A module's source with its constants declared final: else the compiler looks each up by name wherever it is used.

    Constants are names in capitals that the module sets once, outside of any class or function.
    """
    tree = ast.parse(source)
    stored = Counter(
        node.id
        for node in ast.walk(tree)
        if isinstance(node, ast.Name) and not isinstance(node.ctx, ast.Load)
    )
    lines = source.encode().splitlines(keepends=True)
    cuts: list[tuple[int, int, int, bytes]] = []  # line, from and to column, what stands there instead
    for node in tree.body:
        if isinstance(node, ast.Assign) and len(node.targets) == 1:
            target, kind = node.targets[0], None
        elif isinstance(node, ast.AnnAssign) and node.value is not None:
            target, kind = node.target, node.annotation
        else:
            continue
        if not isinstance(target, ast.Name) or not target.id.isupper() or stored[target.id] != 1:
            continue
        if kind is None:
            cuts.append((target.lineno, target.end_col_offset or 0, target.end_col_offset or 0, b": _Final"))
        elif kind.lineno == kind.end_lineno and not ast.unparse(kind).startswith(("Final", "ClassVar")):
            told = lines[kind.lineno - 1][kind.col_offset : kind.end_col_offset]
            cuts.append((kind.lineno, kind.col_offset, kind.end_col_offset or 0, b"_Final[" + told + b"]"))
    for line, begin, end, instead in cuts:
        lines[line - 1] = lines[line - 1][:begin] + instead + lines[line - 1][end:]
    imports = [node.lineno for node in tree.body if isinstance(node, ast.Import | ast.ImportFrom)]
    if cuts and imports:
        lines[imports[0] - 1] = b"from typing import Final as _Final; " + lines[imports[0] - 1]
    return b"".join(lines).decode() if imports else source


def generate(name: str, work: Path) -> None:
    """Translate a group's modules into C; print as JSON what is to be compiled, and how."""
    from mypyc.build import mypycify

    group = tomllib.loads(GROUPS.read_text("utf-8"))[name]
    settings = work / f"{name}.ini"
    settings.write_text(SETTINGS.format(python="{}.{}".format(*sys.version_info[:2])), "utf-8")
    shadows: list[str] = []
    for number, path in enumerate(members(group)):
        shadow = work / f"{name}_{number}.py"
        shadow.write_text(with_final_constants((ROOT / path).read_text("utf-8")), "utf-8")
        shadows += ["--shadow-file", path, str(shadow)]
    whole, *parts = mypycify(
        [f"--config-file={settings}", "--cache-dir=/dev/null", *shadows, *members(group)],
        opt_level=group["level"], debug_level="0", multi_file=True, target_dir=str(work / name), group_name=name,
    )  # fmt: skip
    # each module's entry is written as a library of its own; taken together they hold one name too often
    entries = work / f"{name}_entries.c"
    entries.write_text("".join(
        f'#define PyInit___init__ spare_{number}\n#include "{ROOT / part.sources[0]}"\n#undef PyInit___init__\n'
        for number, part in enumerate(parts)
    ), "utf-8")  # fmt: skip
    print("\n" + json.dumps({
        "sources": [*whole.sources, str(entries)],
        "folders": whole.include_dirs,
        "flags": [flag for flag in whole.extra_compile_args if not flag.startswith("-W")] + ["-w"],
    }))  # fmt: skip


def _quietly(command: list[str]) -> str:
    """Run a command of the build; its output.

    Raises:
        SystemExit: it failed; what it said has been printed.
    """
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    if done.returncode:
        print("\n".join((done.stdout + done.stderr).splitlines()[-30:]), file=sys.stderr)
        raise SystemExit(CANNOT)
    return done.stdout


def build(names: list[str], work: Path) -> dict[str, Path]:
    """The libraries of the groups: translated group beside group, compiled file beside file, largest first."""
    setting = {
        name: shlex.split(sysconfig.get_config_var(name) or "") for name in ("CC", "LDSHARED", "CCSHARED")
    }
    with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        said = pool.map(
            lambda name: _quietly([sys.executable, "-P", __file__, "--generate", name, str(work)]), names
        )
        plans = {name: json.loads(text.splitlines()[-1]) for name, text in zip(names, said, strict=True)}
        jobs = []
        for name, plan in plans.items():
            places = [f"-I{place}" for place in (sysconfig.get_path("include"), *plan["folders"])]
            for number, source in enumerate(plan["sources"]):
                plan["sources"][number] = target = f"{work}/{name}/{number}.o"
                command = [
                    *setting["CC"],
                    *setting["CCSHARED"],
                    "-DNDEBUG",
                    "-fwrapv",
                    *plan["flags"],
                    *places,
                ]
                jobs.append((Path(ROOT, source).stat().st_size, [*command, "-c", source, "-o", target]))
        jobs.sort(reverse=True)
        list(pool.map(lambda job: _quietly(job[1]), jobs))
    libraries = {}
    for name, plan in plans.items():
        libraries[name] = work / f"{name}.so"
        _quietly([*setting["LDSHARED"], *plan["sources"], "-o", str(libraries[name])])
    return libraries


def keep(
    libraries: dict[str, Path], records: dict[str, dict[str, Any]], others: dict[str, dict[str, Any]]
) -> None:
    """Move the libraries to their place, with the record of what they are made from, and drop those that were there before."""
    place = folder()
    place.mkdir(parents=True, exist_ok=True)
    place.chmod(0o755)
    for name, library in libraries.items():
        kept = f"{name}-{hashlib.blake2b(library.read_bytes(), digest_size=8).hexdigest()}.so"
        _put(place / kept, library.read_bytes(), 0o755)
        records[name]["library"] = kept
    records |= others
    whole = json.dumps({"layout": LAYOUT, "project": str(PROJECT), "groups": records})
    _put(record_file(), whole.encode(), 0o644)
    current = {record_file().name, *(record["library"] for record in records.values())}
    for old in place.iterdir():
        if old.name not in current:
            old.unlink()


def _put(target: Path, content: bytes, mode: int) -> None:
    """Write a file so that nobody ever sees half of it."""
    fresh = target.with_name(f"{target.name}.{os.getpid()}")
    fresh.write_bytes(content)
    fresh.chmod(mode)
    fresh.replace(target)


def main() -> int:
    """Compile; the exit status."""
    parser = argparse.ArgumentParser(description="Compile the modules of deploy/compiled.toml ahead of time.")
    parser.add_argument("--possible", action="store_true", help="only say whether it is possible here")
    parser.add_argument(
        "--if-stale", action="store_true", help="do nothing where what is there fits the sources"
    )
    parser.add_argument("--generate", nargs=2, metavar=("GROUP", "FOLDER"), help=argparse.SUPPRESS)
    parser.add_argument("groups", nargs="*", help="compile these only, and leave the others as they are")
    given = parser.parse_args()
    if given.generate:
        generate(given.generate[0], Path(given.generate[1]))
        return 0
    lacking = missing()
    if lacking:
        print(f"Not compiled, the program runs interpreted: {lacking}.", file=sys.stderr)
        return NOT_HERE
    if given.possible:
        return 0
    groups = tomllib.loads(GROUPS.read_text("utf-8"))
    held, _ = read_record()
    others: dict[str, dict[str, Any]] = {}
    if given.groups:
        others = {name: held[name] for name in groups.keys() & held.keys() - set(given.groups)}
        groups = {name: groups[name] for name in given.groups}
    if (
        given.if_stale
        and held.keys() == groups.keys()
        and not any(why_stale(record) for record in held.values())
    ):
        return 0
    start = time.monotonic()
    # what the sources are before they are read: who edits one meanwhile runs his edit, not what it was compiled from
    records = {}
    for name, group in groups.items():
        sources = members(group)
        modules = [path.removesuffix(".py").replace("/", ".") for path in sources]
        records[name] = record_of("", modules, closure(sources))
    with tempfile.TemporaryDirectory(prefix="compiling-") as work:
        keep(build(list(groups), Path(work)), records, others)
    print(f"Compiled {', '.join(groups)} ahead of time in {time.monotonic() - start:.0f} s.", file=sys.stderr)
    return 0


if __name__ == "__main__":
    sys.exit(main())

"""Machine code is used only where it is the source's own, is nobody else's, and reads as the source does."""

import ast
import json
import os
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from bot import machine_code
from tests.examples import tried

ROOT = Path(__file__).parents[3]
GROUPS = tomllib.loads((ROOT / "deploy" / "compiled.toml").read_text("utf-8"))


def run(program: str, *arguments: str, **environ: str) -> subprocess.CompletedProcess[str]:
    kept = {name: value for name, value in os.environ.items() if name != machine_code.SWITCH}
    return subprocess.run(
        [sys.executable, *program.split(maxsplit=1), *arguments],
        capture_output=True, text=True, check=True, cwd=ROOT, env=kept | {"PYTHONPATH": str(ROOT)} | environ,
    )  # fmt: skip


@pytest.fixture
def project(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A program of two sources, whose machine code was made in an environment of its own."""
    root, environment = tmp_path / "program", tmp_path / "environment"
    (root / "bot").mkdir(parents=True)
    (root / "bot" / "one.py").write_text("ONE = 1\n", "utf-8")
    (root / "bot" / "two.py").write_text("TWO = 2\n", "utf-8")
    monkeypatch.setattr(machine_code, "PROJECT", root)
    monkeypatch.setattr(machine_code.sys, "prefix", str(environment))
    machine_code.folder().mkdir(parents=True, mode=0o755)
    (machine_code.folder() / "some.so").write_bytes(b"machine code")
    (machine_code.folder() / "some.so").chmod(0o755)
    record = machine_code.record_of("some.so", ["bot.one"], ["bot/one.py", "bot/two.py"])
    write({"layout": machine_code.LAYOUT, "project": str(root), "groups": {"some": record}})
    return root


def write(held: object) -> None:
    machine_code.record_file().write_text(json.dumps(held), "utf-8")
    machine_code.record_file().chmod(0o644)


def why() -> str:
    groups, why_not = machine_code.read_record()
    return why_not or machine_code.why_stale(groups["some"])


def test_fresh_machine_code_is_used(project: Path) -> None:
    assert why() == ""


def test_a_source_that_was_touched_but_not_changed_leaves_it_fresh(project: Path) -> None:
    os.utime(project / "bot" / "two.py", ns=(1, 1))

    assert why() == ""


@pytest.mark.parametrize("text", ["TWO = 3\n", "TWO = 22\n"])
def test_an_edited_source_is_run_at_once(project: Path, text: str) -> None:
    (project / "bot" / "two.py").write_text(text, "utf-8")
    os.utime(project / "bot" / "two.py", ns=(1, 1))  # however fast the edit was

    assert why() == "bot/two.py has changed since it was compiled"


def test_a_source_that_is_gone_makes_it_stale(project: Path) -> None:
    (project / "bot" / "one.py").unlink()

    assert why() == "bot/one.py is gone"


@pytest.mark.parametrize("name", ["", "some.so", "record.json"])
def test_what_others_may_write_to_is_not_run(project: Path, name: str) -> None:
    (machine_code.folder() / name).chmod(0o777)

    assert "others than its owner may write to" in why()


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="only root can give files away")
@pytest.mark.parametrize("name", ["", "some.so", "record.json"])
def test_what_belongs_to_somebody_else_is_not_run(project: Path, name: str) -> None:
    os.chown(machine_code.folder() / name, 54321, -1)

    assert "belongs to somebody else" in why()


@pytest.mark.parametrize("name", ["some.so", "record.json"])
def test_what_is_gone_is_not_missed(project: Path, name: str) -> None:
    (machine_code.folder() / name).unlink()

    assert why() in {"nothing has been compiled", f"{machine_code.folder() / name} is gone"}


def test_a_record_that_is_none_is_left_aside(project: Path) -> None:
    machine_code.record_file().write_text("{", "utf-8")

    assert why().startswith("its record can't be read: ")


@pytest.mark.parametrize("change", [{"layout": 0}, {"project": "/elsewhere"}])
def test_a_record_of_another_program_is_left_aside(project: Path, change: dict[str, object]) -> None:
    write(json.loads(machine_code.record_file().read_text("utf-8")) | change)

    assert why() == "its record is of another version or place of the program"


def test_the_switch_leaves_it_aside() -> None:
    said = run(
        "-c from bot.reading import read_message; print(type(read_message).__name__)",
        **{machine_code.SWITCH: "1"},
    )

    assert said.stdout == "function\n"


def test_what_is_left_out_of_compiling_is_there() -> None:
    for group in GROUPS.values():
        for name in group["leave_out"]:
            assert any((ROOT / package / f"{name}.py").is_file() for package in group["packages"])


def _sources(group: str) -> list[Path]:
    return sorted(path for package in GROUPS[group]["packages"] for path in (ROOT / package).rglob("*.py"))


SET_OPERATORS = (ast.BitAnd, ast.BitOr, ast.Sub, ast.BitXor)


def _views_at_the_right(tree: ast.AST) -> Iterator[int]:
    for node in ast.walk(tree):
        if isinstance(node, ast.BinOp) and isinstance(node.op, SET_OPERATORS):
            right: ast.expr = node.right
            if isinstance(node.left, ast.Set) or (
                isinstance(node.left, ast.Call) and isinstance(node.left.func, ast.Attribute)
            ):
                continue  # a set or a view stands at the left: the result is a set, as declared
        elif isinstance(node, ast.AugAssign) and isinstance(node.op, SET_OPERATORS):
            right = node.value
        else:
            continue
        if (
            isinstance(right, ast.Call)
            and isinstance(right.func, ast.Attribute)
            and right.func.attr in {"keys", "items"}
        ):
            yield node.lineno


@pytest.mark.parametrize("group", GROUPS)
def test_no_view_of_a_dictionary_stands_at_the_right_of_a_frozen_set(group: str) -> None:
    """``FROZEN & d.keys()`` is declared a frozen set and is a set: compiled, it raises a TypeError. Turned round it is right."""
    found = [
        f"{path.relative_to(ROOT)}:{line}"
        for path in _sources(group)
        for line in _views_at_the_right(ast.parse(path.read_text("utf-8")))
    ]

    assert found == []


@pytest.mark.parametrize("group", GROUPS)
def test_no_property_counts_on_being_worked_out_once(group: str) -> None:
    """Compiled, a ``cached_property`` is a plain one: the same result at each use, and the time of it too."""
    assert [str(path) for path in _sources(group) if "cached_property" in path.read_text("utf-8")] == []


def test_constants_are_final_to_the_compiler_alone() -> None:
    told = "import re\nONE = 1\nTWO: dict[str, int] = {}\nSET = 1\nlower = 3\nKEPT: Final = 4\n\n\ndef use():\n    global SET\n    SET = 2\n"
    program = (
        "import runpy, sys; made = runpy.run_path('deploy/compile.py')['with_final_constants'](sys.argv[1]);"
        "compile(made, 'made', 'exec'); print(made, end='')"
    )
    done = subprocess.run(
        [sys.executable, "-c", program, told], capture_output=True, text=True, check=True, cwd=ROOT
    )
    made = done.stdout.splitlines()
    assert made[1:3] == ["ONE: _Final = 1", "TWO: _Final[dict[str, int]] = {}"]
    assert made[3:] == told.splitlines()[3:]
    assert made[0].endswith("; import re")


def test_the_source_and_its_machine_code_read_the_same() -> None:
    told = run("-c import bot.machine_code as m, json; print(json.dumps(m.used))")
    used = json.loads(told.stdout)
    if used.get("reading") != "":
        pytest.skip(
            f"LEFT OUT: compared with machine code: {'; '.join(used.values())} (deploy/compile makes it)"
        )
    # Interpreted, the whole takes minutes. Both forms come of one source, and what the compiler takes otherwise than the
    # interpreter it takes so wherever that line is run: an eighth of the texts runs most lines, the long profile has them all.
    share = ("800", "1") if tried(0, 1) else ("200", "8")
    program, switch = "-m tests.unit.machine_code.every_reading", machine_code.SWITCH
    with ThreadPoolExecutor(2) as pool:
        compiled, interpreted = pool.map(
            lambda on: run(program, *share, PYTHONHASHSEED="0", **{switch: on}), ("0", "1")
        )
    assert '"builtin_function_or_method"' in compiled.stderr
    assert '"function"' in interpreted.stderr

    differing = [
        (one[:300], other[:300])
        for one, other in zip(compiled.stdout.splitlines(), interpreted.stdout.splitlines(), strict=True)
        if one != other
    ]
    assert differing == []

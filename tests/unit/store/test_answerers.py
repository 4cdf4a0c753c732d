"""Answering processes: the same answers as in this process; one that dies or hangs is replaced."""

import asyncio
import contextlib
import os
import signal
from collections.abc import Iterator
from dataclasses import replace

import pytest

from bot.answerers import AnswerFailed, OwnProcesses, OwnThread
from bot.answering import Answered, Before, CannotTake, Question
from bot.contents import Pieces, Versions, add_catalogue, versions_of
from bot.opening import open_assistant
from bot.pressing import Change
from tests.system.forks import ready

TEXTS = (
    "twelve 250W wallpacks at 20 ft, $0.11/kWh, dusk-to-dawn",
    "40 4 lamp t8 troffers in an office in ohio",
    "hi",
    "cuanto por 10 wallpacks de 175w, 15 pies, toda la noche",
)


@pytest.fixture(scope="module")
def made() -> tuple[Versions, Pieces]:
    ready()  # who is tried behind this in the same worker forks from the same process
    assistant = open_assistant()
    pieces = Pieces()
    return versions_of(
        add_catalogue(assistant.catalogue, pieces), assistant.tables, assistant.terms, None, pieces
    ), pieces


@pytest.fixture(scope="module")
def processes(made: tuple[Versions, Pieces]) -> Iterator[OwnProcesses]:
    several = OwnProcesses(2, made[0], made[1].by_hash, longest_seconds=5)
    yield several
    several.close()


async def test_processes_answer_as_a_thread_does(
    processes: OwnProcesses, made: tuple[Versions, Pieces]
) -> None:
    thread = OwnThread(open_assistant(), made[0])
    for text in TEXTS:
        here, there = await asyncio.gather(
            thread.answer(Question(Before(), text, form="sms")),
            processes.answer(Question(Before(), text, form="sms")),
        )

        assert isinstance(here, Answered)
        assert here == there
    thread.close()


async def test_a_conversation_goes_on_in_any_of_them(processes: OwnProcesses) -> None:
    before = Before()
    for text in ("12 wallpacks 250w", "make it 14", "they are 480v", "undo"):
        outcome = await processes.answer(Question(before, text))
        assert isinstance(outcome, Answered)
        before = outcome.after

    assert '"qty":14' in outcome.reading
    assert "480" not in outcome.reading


async def test_more_than_the_line_holds_at_once_goes_both_ways(processes: OwnProcesses) -> None:
    told = tuple(f"12 wallpacks 250w, number {n} of many {'x' * 400}" for n in range(2_000))
    first = await processes.answer(Question(Before(), TEXTS[0]))
    assert isinstance(first, Answered)
    outcome = await processes.answer(Question(replace(first.after, texts=told), "make it 14"))

    assert isinstance(outcome, Answered)
    assert outcome.after.texts == (*told, "make it 14")


async def test_many_questions_at_once_are_each_answered(processes: OwnProcesses) -> None:
    outcomes = await asyncio.gather(
        *(processes.answer(Question(Before(), f"{n} wallpacks 250w")) for n in range(2, 14))
    )

    assert [f'"qty":{n},' in outcome.reading for n, outcome in enumerate(outcomes, 2)] == [True] * 12


async def test_who_is_behind_says_so(processes: OwnProcesses, made: tuple[Versions, Pieces]) -> None:
    thread = OwnThread(open_assistant(), made[0])
    for answerers, line in ((processes, 6), (thread, 4)):
        asked = [asyncio.create_task(answerers.answer(Question(Before(), TEXTS[2]))) for _ in range(line)]
        await asyncio.sleep(0)

        assert answerers.is_behind()
        await asyncio.gather(*asked[:-1])
        assert not answerers.is_behind()
        await asked[-1]
    thread.close()


async def test_an_answer_that_nobody_waits_for_any_more_blocks_nobody(processes: OwnProcesses) -> None:
    left = [asyncio.create_task(processes.answer(Question(Before(), TEXTS[0]))) for _ in range(3)]
    await asyncio.sleep(0)
    for task in left:
        task.cancel()

    assert isinstance(await processes.answer(Question(Before(), TEXTS[1])), Answered)


async def test_what_cannot_be_is_no_failure(processes: OwnProcesses) -> None:
    outcome = await processes.answer(Question(Before(), "x", (Change("job.nonsense", 1),)))

    assert isinstance(outcome, CannotTake)


async def test_a_process_that_dies_is_replaced(made: tuple[Versions, Pieces]) -> None:
    one = OwnProcesses(1, made[0], made[1].by_hash)
    os.kill(one.pids[0], signal.SIGKILL)
    with pytest.raises(AnswerFailed, match="died"):
        await one.answer(Question(Before(), TEXTS[0]))
    assert isinstance(await one.answer(Question(Before(), TEXTS[0])), Answered)
    last = one.pids[0]
    one.close()

    with pytest.raises(ProcessLookupError):
        os.kill(last, 0)


async def test_a_process_that_hangs_is_replaced(made: tuple[Versions, Pieces]) -> None:
    """Where the machine is so busy that the one in its place takes too long as well, that is replaced in turn."""
    one = OwnProcesses(1, made[0], made[1].by_hash, longest_seconds=2)
    os.kill(one.pids[0], signal.SIGSTOP)
    with pytest.raises(AnswerFailed, match="no answer within 2 s"):
        await one.answer(Question(Before(), TEXTS[0]))
    outcome = None
    for _ in range(10):
        with contextlib.suppress(AnswerFailed):
            outcome = await one.answer(Question(Before(), TEXTS[0]))
            break
    one.close()

    assert isinstance(outcome, Answered)

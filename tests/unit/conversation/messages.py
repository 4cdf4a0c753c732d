"""Messages made by hand: what a reader would hand over, in one line each."""

from typing import Any

from bot.conversation import EMPTY, State, fold
from bot.reading.message import Action, Message, Passage, Reply, Said, Scope

Slots = dict[str, Any]


def said(**slots: Any) -> dict[str, Said]:
    """Slots with places in the text that differ from one another."""
    return {
        slot: value if isinstance(value, Said) else Said(value, 10 * i, 10 * i + 5)
        for i, (slot, value) in enumerate(slots.items())
    }


def passage(action: Action = "state", scope: Scope | None = None, **slots: Any) -> Passage:
    more = slots.pop("more", False)
    labels = slots.pop("labels", ())
    same = slots.pop("same", ())
    return Passage(action, said(**slots), scope, labels, more, same)


def states(**slots: Any) -> Message:
    return Message("quote", (passage("state", None, **slots),))


def changes(scope: Scope | None = None, **slots: Any) -> Message:
    return Message("revise", (passage("change", scope, **slots),))


def adds(scope: Scope | None = None, **slots: Any) -> Message:
    return Message("revise", (passage("add", scope, **slots),))


def removes(scope: Scope | None = None, **slots: Any) -> Message:
    return Message("revise", (passage("remove", scope, **slots),))


def copies(scope: Scope | None = None, **slots: Any) -> Message:
    return Message("revise", (passage("copy", scope, **slots),))


def the(*families: str, **more: Any) -> Scope:
    """ "the floods" """
    return Scope("family", 90, 99, families=families, **more)  # type: ignore[arg-type]


def job(**slots: Any) -> Message:
    return Message("revise", job=said(**slots))


def answers(asked: str, kind: Any = None, nth: int = 0, **slots: Any) -> Message:
    reply = Reply(kind, 0, 3, nth) if kind else None
    return Message("revise", (passage("change", None, **slots),) if slots else (), asked=asked, reply=reply)


def two(first: Message, second: Message) -> Message:
    """One message that says both."""
    return Message(first.intent, (*first.passages, *second.passages), {**first.job, **second.job})


def after(*messages: Message, start: State = EMPTY) -> State:
    state = start
    for turn, message in enumerate(messages):
        state = fold(state, message, turn)
    return state


def values(state: State) -> list[Slots]:
    """The lines, values alone."""
    return [{slot: held.value for slot, held in line.slots.items()} for line in state.lines]


def job_values(state: State) -> Slots:
    return {slot: held.value for slot, held in state.job.slots.items()}


def only(state: State, slot: str) -> list[Any]:
    """One slot of every line."""
    return [line.get(slot) for line in values(state)]


def doubted(state: State) -> dict[str, tuple[Any, ...]]:
    """What is in doubt, and what else it could be."""
    found = {f"job.{slot}": h.others for slot, h in state.job.slots.items()}
    for i, line in enumerate(state.lines):
        found |= {f"lines.{i}.{slot}": h.others for slot, h in line.slots.items()}
    return {path: others for path, others in found.items() if others}


UNDO = Message("revise", command="undo")
START_OVER = Message("revise", command="start_over")
BACK = Message("revise", command="previous_job")


def new_job(message: Message) -> Message:
    return Message("quote", message.passages, message.job, command="new_job")


PACKS_AND_POLES = two(
    states(qty=18, family="wall_pack", watts=250.0, source="MH"),
    states(qty=10, family="area", watts=400.0, source="MH"),
)
CANS_AND_TROFFERS = two(
    states(qty=22, family="downlight", source="CFL"), states(qty=40, family="troffer", source="T8")
)

"""The server against its own description: whatever is sent, no fault of the server, and no answer that is not described."""

import asyncio
import threading
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from typing import Any

import pytest
import requests
from aiohttp import web
from hypothesis import HealthCheck, Phase, settings

from bot.app import build_app
from bot.channels.connections import BoundedRunner
from bot.channels.openapi import openapi_document
from bot.clock import stamp, utc_now
from bot.settings import Settings
from bot.staff.gate import form_mark
from bot.staff.roll import Roll
from bot.staff.secrets import kept_form
from bot.store.opened import open_store
from bot.store.protocol import Store
from tests.system.security.conftest import add_staff

EXAMPLES = 15
SECRET = "a-session-for-a-test-that-tries-everything"
DOCUMENT = openapi_document()
OPERATIONS = [f"{method.upper()} {path}" for path, methods in DOCUMENT["paths"].items() for method in methods]


@dataclass
class Tried:
    """A server in a thread of its own."""

    address: str
    store: Store
    quote: str = ""
    conversation: str = ""

    def begin(self) -> None:
        """A conversation with a quote, for what is sent to lead somewhere."""
        self.sign_in()
        message = {"message_id": "message-to-begin-with", "text": "12 wallpacks 250w"}
        cookies = {"wattclerk-session": SECRET}
        turn = requests.post(f"{self.address}/api/messages", json=message, cookies=cookies, timeout=20).json()
        self.quote, self.conversation = turn["quote_id"], turn["conversation"]

    def fit(self, case: Any) -> None:
        """Every other example is about something that is there, and in a form of ours."""
        if isinstance(case.body, dict) and "mark" in case.body:
            case.body["mark"] = form_mark(SECRET)
        slots = case.path_parameters
        if not isinstance(slots, dict) or len(str(slots)) % 2:
            return
        if "id" in slots:
            slots["id"] = self.conversation if "conversations" in case.operation.path else self.quote
        if "name" in slots:
            slots["name"] = "clerk"
        if "kind" in slots:
            slots["kind"], slots["number"] = "message", "1"

    def sign_in(self) -> None:
        """The session is there, whatever was done to it."""
        with self.store.transaction() as session:
            roll = Roll(session.connection)
            roll.end_session(kept_form(SECRET))
            roll.begin_session(kept_form(SECRET), "owner", stamp(utc_now()))


@pytest.fixture(scope="module")
def tried(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Tried]:
    values = {"data_folder": tmp_path_factory.mktemp("tried"), "messages_per_minute": 0}
    made = Settings.model_validate(values)
    add_staff(made)
    ports: list[int] = []
    started, loop, stop = threading.Event(), asyncio.new_event_loop(), asyncio.Event()

    async def serve() -> None:
        runner = BoundedRunner(build_app(made))
        await runner.setup()
        await web.TCPSite(runner, "127.0.0.1", 0).start()
        ports.append(runner.addresses[0][1])
        started.set()
        await stop.wait()
        await runner.cleanup()

    thread = threading.Thread(target=loop.run_until_complete, args=(serve(),), daemon=True)
    thread.start()
    assert started.wait(30)
    with closing(open_store(made)) as store:
        tried = Tried(f"http://127.0.0.1:{ports[0]}", store)
        tried.begin()
        yield tried
    loop.call_soon_threadsafe(stop.set)
    thread.join(30)
    loop.close()


@pytest.fixture(scope="module")
def operations() -> dict[str, Any]:
    """What schemathesis finds in the description, by method and path.

    It is loaded here, and no plugin of pytest: who looks for tests, in every worker, need not make its examples.
    """
    import schemathesis

    found = [result.ok() for result in schemathesis.openapi.from_dict(DOCUMENT).get_all_operations()]
    return {operation.label: operation for operation in found}


def trying(operation: Any) -> Callable[..., None]:
    """A test of an operation: cases made of its description (bounds, wrong types, what is missing), and some by chance."""
    from schemathesis.checks import load_all_checks, not_a_server_error
    from schemathesis.generation.feedback import FeedbackSources
    from schemathesis.pytest._test_builder import build_operation_test
    from schemathesis.specs.openapi.checks import (
        content_type_conformance,
        response_schema_conformance,
        status_code_conformance,
    )

    load_all_checks()
    checks = [
        not_a_server_error,
        status_code_conformance,
        content_type_conformance,
        response_schema_conformance,
    ]

    @settings(
        max_examples=EXAMPLES,
        derandomize=True,
        database=None,
        deadline=None,
        phases=[Phase.explicit, Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    def try_case(case: Any, tried: Tried) -> None:
        tried.sign_in()
        tried.fit(case)
        case.call_and_validate(
            base_url=tried.address,
            cookies={"wattclerk-session": SECRET},
            allow_redirects=False,
            timeout=20,
            checks=checks,
        )

    made: Callable[..., None] = build_operation_test(
        config=operation.schema.config,
        operation=operation,
        test_func=try_case,
        given_kwargs={},
        feedback=FeedbackSources(),
    )
    return made


def left_untried(test: Callable[..., None]) -> list[str]:
    """What of an operation could not be made into a case."""
    from schemathesis.generation.hypothesis import builder

    marks = [
        builder.InvalidHeadersExampleMark,
        builder.InvalidRegexMark,
        builder.MissingPathParameters,
        builder.NonSerializableMark,
        builder.UnsatisfiableExampleMark,
        builder.UnserializablePayloadMark,
    ]
    return [f"{mark.attr_name}: {mark.get(test)}" for mark in marks if mark.get(test)]


@pytest.mark.parametrize("operation", OPERATIONS)
def test_whatever_is_sent_is_answered_as_described(
    operation: str, operations: dict[str, Any], tried: Tried
) -> None:
    test = trying(operations[operation])
    test(tried=tried)

    assert left_untried(test) == []


def test_every_operation_was_tried(operations: dict[str, Any]) -> None:
    assert operations.keys() == set(OPERATIONS)
    assert len(OPERATIONS) == sum(len(methods) for methods in DOCUMENT["paths"].values()) > 25

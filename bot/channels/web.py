"""The web channel: a JSON API, and the chat page's socket, over one inbox."""

from collections import Counter
from collections.abc import Awaitable, Callable
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any, Final, TypeVar

from aiohttp import WSCloseCode, WSMsgType, web
from pydantic import BaseModel, ValidationError
from pydantic_core import from_json

from bot.answerers import AnswerFailed
from bot.channels.guards import Pace, SameOrigin, log, refusal
from bot.channels.senders import Senders, bucket_of
from bot.channels.web_message import (
    MessageIn,
    SocketJoin,
    SocketMessage,
    kept_quote_json,
)
from bot.faults import first_fault
from bot.inbox import Inbox, MessageRefused, MessageSetAside, NotAnsweredYet, TooBusy
from bot.staff.roles import PERSON
from bot.store.figures import Traces
from bot.store.records import (
    DifferentMessage,
    KeptTurn,
    Receipt,
    TooManyTurns,
    UnknownConversation,
    json_bytes,
)
from bot.traces import lines_of_kept, trace_json
from bot.usable import UnusableInput, usable_text
from bot.watch.request_ids import REQUEST_ID, current
from engine.errors import WattclerkError

MOST_BODY_BYTES: Final = 256 * 1024
"""A message of the longest kind, every character of it escaped."""
HEARTBEAT_SECONDS: Final = 25.0
MOST_BY_SENDER: Final = 20
"""Open chats that one sender may always have; more only where a tenth of all is more."""

Model = TypeVar("Model", bound=BaseModel)


@dataclass(slots=True)
class WebChannel:
    """Handlers over the inbox.

    Attributes:
        lets_chat: whether whoever made a request may still chat; asked before every message of a socket.
        senders: who is at the other end.
    """

    inbox: Inbox
    origins: SameOrigin
    pace: Pace
    longest_text: int
    most_sockets: int
    sockets: set[web.WebSocketResponse] = field(default_factory=set)
    lets_chat: Callable[[web.Request], Awaitable[bool]] | None = None
    senders: Senders = field(default_factory=Senders)
    _by_sender: Counter[str] = field(default_factory=Counter)

    def routes(self) -> list[web.RouteDef]:
        """What the channel answers to."""
        return [
            web.post("/api/messages", self.post_message),
            web.get("/api/conversations/{id}", self.get_conversation),
            web.get("/api/quotes/{id}", self.get_quote),
            web.get("/api/quotes/{id}/figures", self.get_figures),
            web.get("/api/quotes/{id}/figures/{path:.+}", self.get_figure),
            web.get("/ws", self.chat),
        ]

    async def post_message(self, request: web.Request) -> web.Response:
        """One message in, its turn out; the same again for the same message id."""
        if not self.origins.allows(request):
            return refusal(403, "pages of other sites may not send messages here")
        if request.content_type != "application/json":
            return refusal(415, "send the message as application/json")
        if wait := self.pace.wait_for(bucket_of(self.senders.address(request))):
            return refusal(429, _slow_down(wait), **{"Retry-After": str(wait)})
        try:
            incoming = _parsed(MessageIn, await request.read())
            receipt, turn = await self._receive(incoming)
        except _Refused as error:
            return refusal(error.status, error.line, **error.headers)
        response = web.Response(body=turn, content_type="application/json", charset="utf-8")
        with suppress(ConnectionError):  # Who went away gets it by sending the message again.
            await response.prepare(request)
            await response.write_eof()
            self.inbox.fetched(receipt)
        return response

    async def get_conversation(self, request: web.Request) -> web.Response:
        """All turns of a conversation."""
        name = request.match_info["id"]
        try:
            turns = await self.inbox.history(name)
        except UnknownConversation as error:
            return refusal(404, str(error))
        body = _with_turns({"conversation": name}, name, turns)
        return web.Response(body=body, content_type="application/json", charset="utf-8")

    async def get_quote(self, request: web.Request) -> web.Response:
        """A kept quote."""
        kept = await self.inbox.quote(request.match_info["id"])
        return refusal(404, _NO_QUOTE) if kept is None else web.json_response(kept_quote_json(kept))

    async def get_figures(self, request: web.Request) -> web.Response:
        """The paths of a quote's figures."""
        kept = await self.inbox.quote(request.match_info["id"])
        if kept is None:
            return refusal(404, _NO_QUOTE)
        return web.json_response({"quote": kept.id, "figures": sorted(kept.figures["roots"])})

    async def get_figure(self, request: web.Request) -> web.Response:
        """The working of one figure: its formula and what went into it, down to what was said or looked up."""
        kept = await self.inbox.quote(request.match_info["id"])
        if kept is None:
            return refusal(404, _NO_QUOTE)
        path = request.match_info["path"]
        traces = Traces.from_json(kept.figures)
        figure = traces.find(path)
        if figure is None:
            return refusal(404, "this quote has no such figure: /api/quotes/{id}/figures lists them")
        where = lines_of_kept(kept, traces)
        trace = trace_json(figure, kept.language, self.inbox.assistant.tables, where)
        return web.json_response({"quote": kept.id, "path": path, "figure": trace})

    async def chat(self, request: web.Request) -> web.StreamResponse:
        """The chat page's socket: joins a conversation, then takes messages and gives turns, one at a time."""
        if not self.origins.allows(request):
            return refusal(403, "pages of other sites may not chat here")
        sender = bucket_of(self.senders.address(request))
        crowded = self._by_sender[sender] >= max(MOST_BY_SENDER, self.most_sockets // 10)
        if crowded or len(self.sockets) >= self.most_sockets:
            return refusal(503, "too many chats are open: try again in a minute", **{"Retry-After": "30"})
        socket = web.WebSocketResponse(heartbeat=HEARTBEAT_SECONDS, max_msg_size=MOST_BODY_BYTES)
        await socket.prepare(request)
        self.sockets.add(socket)
        self._by_sender[sender] += 1
        count = 0
        try:
            async for frame in socket:
                if frame.type is not WSMsgType.TEXT:
                    await socket.close(code=WSCloseCode.UNSUPPORTED_DATA, message=b"text only")
                    break
                if not await self._may_go_on(request):
                    await socket.close(code=WSCloseCode.POLICY_VIOLATION, message=b"sign in again")
                    break
                count += 1
                current.set(f"{request.get(REQUEST_ID, '')}-{count}")
                answer, receipt = await self._answer_frame(frame.data, sender)
                await socket.send_frame(answer, WSMsgType.TEXT)
                if receipt is not None:
                    self.inbox.fetched(receipt)
        except ConnectionError:
            pass  # The page went away while we answered; what was kept is sent when it joins again.
        finally:
            self.sockets.discard(socket)
            self._by_sender[sender] -= 1
            if not self._by_sender[sender]:
                del self._by_sender[sender]
        return socket

    async def _may_go_on(self, request: web.Request) -> bool:
        """A session may have ended, or its account, since the socket was opened."""
        if self.lets_chat is None:
            return True
        request.pop(PERSON, None)
        return await self.lets_chat(request)

    async def close_sockets(self) -> None:
        """Tells every open page that the server goes away; the pages come back by themselves."""
        for socket in list(self.sockets):
            await socket.close(code=WSCloseCode.GOING_AWAY, message=b"restarting")

    async def _answer_frame(self, data: str, address: str) -> tuple[bytes, Receipt | None]:
        """The frame that goes back, and whose answer it is, if it is one."""
        message_id = None
        try:
            frame = _object(data)
            message_id = frame.get("message_id") if isinstance(frame.get("message_id"), str) else None
            if frame.get("type") == "join":
                return await self._join(_valid(SocketJoin, frame)), None
            incoming = _valid(SocketMessage, frame)
            if wait := self.pace.wait_for(address):
                return _refused_frame(message_id, _slow_down(wait), retry_after=wait), None
            receipt, turn = await self._receive(incoming)
            return b'{"type":"turn",' + turn[1:], receipt
        except _Refused as error:
            more: dict[str, Any] = {"unknown": True} if error.status == 404 else {}
            if error.headers:
                more["retry_after"] = int(error.headers["Retry-After"])
            return _refused_frame(message_id, error.line, **more), None
        except WattclerkError as error:
            log.warning("a chat message failed: %s", error)
            return _refused_frame(
                message_id, "the assistant can't keep messages just now", retry_after=10
            ), None
        except Exception:
            log.exception("chat message failed")
            return _refused_frame(message_id, _OUR_FAULT), None

    async def _join(self, join: SocketJoin) -> bytes:
        if join.conversation is None:
            return json_bytes({"type": "joined", "conversation": None, "turns": []})
        try:
            turns = await self.inbox.history(join.conversation, join.have)
        except UnknownConversation:
            return json_bytes({"type": "joined", "conversation": None, "turns": [], "unknown": True})
        return _with_turns({"type": "joined", "conversation": join.conversation}, join.conversation, turns)

    async def _receive(self, incoming: MessageIn) -> tuple[Receipt, bytes]:
        try:
            usable_text(incoming.text, self.longest_text)
            receipt, turn = await self.inbox.receive(incoming.message())
        except (UnusableInput, MessageRefused) as error:
            raise _Refused(422, str(error)) from None
        except UnknownConversation as error:
            raise _Refused(404, str(error)) from None
        except (DifferentMessage, TooManyTurns) as error:
            raise _Refused(409, str(error)) from None
        except (TooBusy, NotAnsweredYet) as error:
            raise _Refused(503, str(error), **{"Retry-After": "5"}) from None
        except MessageSetAside as error:
            raise _Refused(500, str(error)) from None
        except AnswerFailed:
            raise _Refused(500, _OUR_FAULT) from None
        return receipt, turn.as_json(receipt.conversation)


_OUR_FAULT: Final = "something went wrong here; it has been noted: try again"
_NO_QUOTE: Final = "no quote of that id is kept here"


class _Refused(Exception):
    """A message that is not taken; the line says why."""

    def __init__(self, status: int, line: str, **headers: str) -> None:
        self.status = status
        self.line = line
        self.headers = headers


def _object(text: str | bytes) -> dict[str, Any]:
    try:
        # Bounded in depth, and strict: no NaN, no half of a character pair.
        value = from_json(text, allow_inf_nan=False)
    except ValueError:
        raise _Refused(400, "this is not JSON") from None
    if not isinstance(value, dict):
        raise _Refused(400, "a message is a JSON object")
    return value


def _parsed(model: type[Model], text: bytes) -> Model:
    return _valid(model, _object(text))


def _valid(model: type[Model], value: dict[str, Any]) -> Model:
    try:
        return model.model_validate(value, strict=False)
    except ValidationError as error:
        raise _Refused(422, first_fault(error)) from None


def _slow_down(wait: int) -> str:
    return f"too many messages: wait {wait} s"


def _refused_frame(message_id: str | None, line: str, **more: Any) -> bytes:
    return json_bytes({"type": "refused", "message_id": message_id, "error": line, **more})


def _with_turns(head: dict[str, Any], conversation: str, turns: list[KeptTurn]) -> bytes:
    """A JSON object with its turns last, put together from what is JSON already."""
    joined = b",".join(turn.as_json(conversation) for turn in turns)
    return json_bytes(head)[:-1] + b',"turns":[' + joined + b"]}"

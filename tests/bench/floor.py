"""The floor: a bare server that checks a message with pydantic, keeps it with one committed SQLite insert and echoes it.

python -m tests.bench.floor PORT FOLDER
"""

import sqlite3
import sys
from pathlib import Path

from aiohttp import web
from pydantic import BaseModel


class Message(BaseModel):
    """As the assistant's own message."""

    message_id: str
    text: str
    conversation: str | None = None


def main() -> None:
    port, folder = int(sys.argv[1]), Path(sys.argv[2])
    database = sqlite3.connect(folder / "floor.db", isolation_level=None)
    database.execute("pragma journal_mode = wal")
    database.execute("pragma synchronous = full")
    database.execute("create table messages (id text primary key, text text)")

    async def post(request: web.Request) -> web.Response:
        message = Message.model_validate_json(await request.read())
        database.execute("insert into messages values (?, ?)", (message.message_id, message.text))
        return web.Response(body=message.model_dump_json().encode(), content_type="application/json")

    async def health(request: web.Request) -> web.Response:
        return web.json_response({})

    app = web.Application()
    app.add_routes([web.post("/api/messages", post), web.get("/healthz", health)])
    web.run_app(app, host="127.0.0.1", port=port, access_log=None, print=None)


if __name__ == "__main__":
    main()

"""The pages and the monitors' routes in the OpenAPI document, beside the JSON API."""

from typing import Any, Final

_ERROR: Final = {"$ref": "#/components/schemas/error"}
_TEXT: Final = {"type": "string"}
_MARK: Final = {
    "type": "string",
    "description": "from the form of the page; it is made for the session",
    "maxLength": 64,
}
_WORDS: Final[dict[str, str]] = {
    "303": "see the other page; a caller who has not signed in is sent to the sign-in page",
    "400": "the form can't be read",
    "401": "not signed in, or no token",
    "403": "the role is not enough, or the form was not made for this session",
    "404": "not there",
    "408": "the body took too long to come",
    "413": "the body is too long",
    "414": "the address is too long",
    "415": "not a form as browsers send it, or a compressed body",
    "421": "the host is not this server's",
    "422": "what was asked for can't be",
    "429": "too often: wait",
    "500": "a fault of the server",
    "503": "nothing can be kept just now",
}
_BOUNDS: Final = frozenset({"408", "413", "414", "415", "421"})
"""What any request may be refused with before it reaches its handler."""


def staff_paths() -> dict[str, Any]:
    """The paths of staff's and customers' pages and of the monitors."""
    return {
        "/staff/sign-in": {
            "get": _page("getSignIn", "The sign-in page", (), query={"to": {"enum": ["chat", "staff"]}}),
            "post": _form(
                "signIn",
                "Begin a session",
                {"name": _text(60), "password": _text(256), "to": _TEXT},
                (),
                ok=False,
            ),
        },
        "/staff/sign-out": {"post": _form("signOut", "End the session", {}, (), ok=False)},
        "/staff": {
            "get": _page(
                "listConversations", "The latest conversations", (), query={"before": _TEXT}, guarded=True
            )
        },
        "/staff/conversations/{id}": {
            "get": _page("showConversation", "One conversation", ("id",), guarded=True)
        },
        "/staff/quotes/{id}": {"get": _page("showQuote", "One quote, with its links", ("id",), guarded=True)},
        "/staff/quotes/{id}/links": {
            "post": _form("makeLink", "Make a customer's link to a quote", {}, ("id",))
        },
        "/staff/links/{id}/close": {
            "post": _form("closeLink", "Close a customer's link", {}, ("id",), ok=False)
        },
        "/staff/mail": {
            "get": _page("listDeskMail", "Mails that the desk saw", (), query={"before": _TEXT}, guarded=True)
        },
        "/staff/mail/{number}": {
            "get": _page("showDeskMail", "One of them, and what became of it", ("number",), guarded=True)
        },
        "/staff/mail/{number}/draft": {
            "get": _page("showDeskDraft", "Its draft as its reader sees it", ("number",), guarded=True)
        },
        "/staff/aside": {"get": _page("listAside", "What could not be answered or sent", (), guarded=True)},
        "/staff/aside/{kind}/{number}/again": {
            "post": _form("runAgain", "Try it again", {}, ("kind", "number"), ok=False)
        },
        "/staff/person": {
            "get": _page("findPerson", "Where a customer's data is looked for", (), guarded=True),
            "post": _form("foundPerson", "How much there is of a customer", _PERSON, ()),
        },
        "/staff/person/export": {
            "post": _form("exportPerson", "A customer's data as a file", _PERSON, (), kind="application/json")
        },
        "/staff/person/erase": {
            "post": _form(
                "erasePerson", "Erase a customer's data; quotes' figures stay", _PERSON | {"sure": _TEXT}, ()
            )
        },
        "/staff/quotes.csv": {
            "get": _page(
                "exportQuotes",
                "Quotes as a table",
                (),
                query={"since": _TEXT, "until": _TEXT},
                guarded=True,
                kind="text/csv",
            )
        },
        "/staff/accounts": {
            "get": _page("listAccounts", "Staff accounts", (), guarded=True),
            "post": _form(
                "addAccount",
                "Make an account",
                {"name": _text(60), "role": _TEXT, "password": _text(256)},
                (),
            ),
        },
        "/staff/accounts/{name}/role": {
            "post": _form("setRole", "Change a role", {"role": _TEXT}, ("name",))
        },
        "/staff/accounts/{name}/password": {
            "post": _form("setPassword", "Change a password", {"password": _text(256)}, ("name",))
        },
        "/staff/accounts/{name}/remove": {
            "post": _form("removeAccount", "Remove an account", {"sure": _TEXT}, ("name",))
        },
        "/staff/mail/{number}/files/{file}": {
            "get": _page(
                "getKeptDraftFile",
                "A file that a draft carries",
                ("number", "file"),
                guarded=True,
                kind="application/octet-stream",
            )
        },
        "/staff/mail/{number}/send": {
            "post": _form(
                "sendDraft", "Send a draft to who asked", {"text": _text(120_000)}, ("number",), ok=False
            )
        },
        "/staff/mail/{number}/forward": {
            "post": _form(
                "forwardMail", "Pass a mail on to a person", {"to": _text(320)}, ("number",), ok=False
            )
        },
        "/staff/mail/{number}/sends/{send}/again": {
            "post": _form(
                "sendAgain", "Send once more what may not have gone", {}, ("number", "send"), ok=False
            )
        },
        "/mail": {
            "get": _page("listMail", "The demo mailbox, and what became of each message", (), more=("401",))
        },
        "/mail/{name}": {
            "get": _page("showMail", "One message of the demo mailbox", ("name",), more=("401",))
        },
        "/mail/{name}/draft": {
            "get": _page("showDraft", "Its draft as its reader sees it", ("name",), more=("401",))
        },
        "/mail/{name}/files/{number}": {
            "get": _page(
                "getDraftFile",
                "A file that the draft carries",
                ("name", "number"),
                kind="application/octet-stream",
                more=("401",),
            )
        },
        "/q/{secret}": {
            "get": _page("showLinkedQuote", "The quote behind a customer's link", ("secret",), more=("429",))
        },
        "/q/{secret}/pdf": {
            "get": _page(
                "getLinkedQuoteAsPdf", "That quote as PDF", ("secret",), kind="application/pdf", more=("429",)
            )
        },
        "/readyz": {
            "get": {
                "operationId": "getReadiness",
                "summary": "Whether messages can be taken: store, catalogue, queue",
                "responses": {
                    "200": _said("ready", "application/json", _READY),
                    "503": _said("not ready", "application/json", _READY),
                }
                | _refused("414", "421"),
            }
        },
        "/metrics": {
            "get": {
                "operationId": "getMetrics",
                "summary": "Measures for Prometheus; for this machine, or with the metrics token",
                "responses": {"200": _said("the measures", "text/plain", _TEXT)}
                | _refused("401", "414", "421", "503"),
            }
        },
        "/openapi.json": {
            "get": {
                "operationId": "getDescription",
                "summary": "This document",
                "responses": {"200": _said("the document", "application/json", {"type": "object"})}
                | _refused("414", "421"),
            }
        },
    }


_PERSON: Final = {
    "kind": {"enum": ["conversation", "sender", "customer"]},
    "value": {"type": "string", "maxLength": 200},
}
_READY: Final = {
    "type": "object",
    "required": ["status", "faults"],
    "properties": {"status": {"enum": ["ready", "not ready"]}, "faults": {"type": "array", "items": _TEXT}},
}


def _text(longest: int) -> dict[str, Any]:
    return {"type": "string", "maxLength": longest}


def _page(
    name: str,
    summary: str,
    slots: tuple[str, ...],
    *,
    query: dict[str, Any] | None = None,
    guarded: bool = False,
    kind: str = "text/html",
    more: tuple[str, ...] = (),
) -> dict[str, Any]:
    refused = ("404", "414", "421", "422", "503", *more) + (("401", "403") if guarded else ())
    return {
        "operationId": name,
        "summary": summary,
        "parameters": _slots(slots)
        + [{"name": key, "in": "query", "schema": schema} for key, schema in (query or {}).items()],
        "responses": {"200": _said("the page", kind, _TEXT), "303": {"description": _WORDS["303"]}}
        | {status: _on_a_page(status) for status in refused},
    } | _guard(guarded)


def _form(
    name: str,
    summary: str,
    fields: dict[str, Any],
    slots: tuple[str, ...],
    *,
    ok: bool = True,
    kind: str = "text/html",
) -> dict[str, Any]:
    body = {"type": "object", "required": ["mark"], "properties": {"mark": _MARK} | fields}
    good = {"200": _said("done", kind, _TEXT if kind == "text/html" else {"type": "object"})} if ok else {}
    statuses = ("400", "401", "403", "404", "408", "413", "414", "415", "421", "422", "429", "503")
    return {
        "operationId": name,
        "summary": summary,
        "parameters": _slots(slots),
        "requestBody": {"required": True, "content": {"application/x-www-form-urlencoded": {"schema": body}}},
        "responses": good
        | {"303": {"description": _WORDS["303"]}}
        | {status: _on_a_page(status) for status in statuses},
    } | _guard(guarded=name != "signIn")


def _guard(guarded: bool) -> dict[str, Any]:
    return {"security": [{"session": []}, {"sessionOverTls": []}]} if guarded else {}


SECURITY_SCHEMES: Final = {
    "session": {"type": "apiKey", "in": "cookie", "name": "wattclerk-session"},
    "sessionOverTls": {"type": "apiKey", "in": "cookie", "name": "__Host-wattclerk-session"},
    "token": {"type": "http", "scheme": "bearer"},
}


def _slots(names: tuple[str, ...]) -> list[dict[str, Any]]:
    return [{"name": name, "in": "path", "required": True, "schema": _TEXT} for name in names]


def _said(words: str, kind: str, schema: dict[str, Any]) -> dict[str, Any]:
    return {"description": words, "content": {kind: {"schema": schema}}}


def _on_a_page(status: str) -> dict[str, Any]:
    """A refusal as a page; what fails the bounds of every request has reached no page and is told as JSON."""
    said = _said(_WORDS[status], "text/html", _TEXT)
    return (
        said | {"content": said["content"] | {"application/json": {"schema": _ERROR}}}
        if status in _BOUNDS
        else said
    )


def _refused(*statuses: str) -> dict[str, Any]:
    return {status: _said(_WORDS[status], "application/json", _ERROR) for status in statuses}

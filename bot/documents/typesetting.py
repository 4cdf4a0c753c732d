"""Typesets a document's material with typst: one compiler, its own fonts, a deadline, and nothing read but the template.

The text of strangers goes in as JSON and comes out as text: strings are data to the template and are never parsed as markup.
"""

import json
import threading
from pathlib import Path
from typing import Any, Final

TEMPLATE: Final = Path(__file__).parent / "quote.typ"
MOST_SECONDS: Final = 10.0
MOST_BYTES: Final = 4_000_000
"""Of material, as JSON."""
COMPILED_BEFORE_RENEWAL: Final = 200
"""What a compiler has laid out it keeps for the next time; a new one is taken before that grows large."""


class DocumentFailed(Exception):
    """A document could not be made; the reason is for staff and holds no text of the document's."""


class _Typesetter:
    """Keeps a compiler between documents, and lets one document be made at a time."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._compiler: Any = None
        self._compiled = 0

    def pdf(self, data: str) -> bytes:
        # Imported here: only who wants a document pays for the typesetter.
        import typst

        with self._lock:
            if self._compiler is None or self._compiled >= COMPILED_BEFORE_RENEWAL:
                self._compiler = typst.Compiler(
                    str(TEMPLATE), root=str(TEMPLATE.parent), font_paths=[], ignore_system_fonts=True
                )
                self._compiled = 0
            self._compiled += 1
            told = {"data": data}
            try:
                made = self._compiler.compile(format="pdf", sys_inputs=told, pdf_standards="ua-1")
            except typst.TypstError:
                # The standard asks for a glyph for every character, and a name may be in a script that the fonts lack:
                # tagged all the same, then, without the claim.
                made = self._compiler.compile(format="pdf", sys_inputs=told)
        if not isinstance(made, bytes) or not made.startswith(b"%PDF-"):
            raise DocumentFailed("the typesetter gave no PDF")
        return made


_typesetter = _Typesetter()


def typeset(material: dict[str, Any], seconds: float = MOST_SECONDS) -> bytes:
    """The document as PDF, tagged (PDF/UA-1 where its fonts have all characters) and without a date.

    Same material, same bytes.

    Args:
        material: text, numbers and lists only; what the template names.
        seconds: after which it is given up. The work then ends by itself, aside, with nobody waiting for it.

    Raises:
        DocumentFailed: too much material, too slow, or the typesetter refuses it.
    """
    global _typesetter
    data = json.dumps(material, ensure_ascii=False, allow_nan=False)
    if len(data) > MOST_BYTES:
        raise DocumentFailed("there is too much to set")
    held: list[bytes] = []
    failed: list[BaseException] = []
    typesetter = _typesetter

    def work() -> None:
        try:
            held.append(typesetter.pdf(data))
        except (
            BaseException
        ) as error:  # a panic of the compiler is no Exception; whoever waits must hear of it
            failed.append(error)

    # A thread of its own, since a compiler can't be stopped; it lets others run while it works.
    thread = threading.Thread(target=work, name="typesetting", daemon=True)
    thread.start()
    thread.join(seconds)
    if held:
        return held[0]
    if failed:
        _typesetter = _Typesetter()
        raise DocumentFailed(f"the typesetter refused it ({type(failed[0]).__name__})") from failed[0]
    if _typesetter is typesetter:
        _typesetter = _Typesetter()
    raise DocumentFailed(f"it took longer than {seconds:g} seconds")

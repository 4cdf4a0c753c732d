"""The text of a PDF, read by another library than the one that made it."""

import pypdfium2


def pages_of_pdf(data: bytes) -> list[str]:
    """The text of each page."""
    document = pypdfium2.PdfDocument(data)
    try:
        return [page.get_textpage().get_text_bounded() for page in document]
    finally:
        document.close()


def text_of_pdf(data: bytes) -> str:
    """The text of all pages, blanks and line breaks as one blank."""
    return " ".join(" ".join(pages_of_pdf(data)).split())

"""The quote as a document: its material as plain data, its form in ``quote.typ``, and the typesetter that joins them."""

"""The errors of the whole product, in one tree.

    WattclerkError
    └── ConfigurationError      what an operator can put right: a table, a catalogue, a setting
        └── TableError          a reference table: which file, row, column, what was found, what is allowed

What a customer writes is never an error: an unknown place, a lamp that no table holds or an unclear
message is a value (``NoSuchRow``, ``UnknownPlace``, ...). What a programmer broke stays an ordinary exception.
"""


class WattclerkError(Exception):
    """Base of every error that this product raises on purpose."""


class ConfigurationError(WattclerkError):
    """Something the operator supplied cannot be used; the message says what and where, in one line."""


class TableError(ConfigurationError):
    """A reference table broke a rule of its own column description.

    Attributes:
        file: name of the file, without its folder.
        row: line number in the file, the heading being line 1; ``None`` where the whole file is at fault.
        column: the column's name; ``None`` where the whole row or file is at fault.
        found: what stood there, shortened.
        allowed: what would have been accepted.
    """

    def __init__(self, file: str, row: int | None, column: str | None, found: str, allowed: str) -> None:
        self.file = file
        self.row = row
        self.column = column
        self.found = " ".join(found.split())[:80]
        self.allowed = allowed
        where = file
        if row is not None:
            where += f", row {row}"
        if column is not None:
            where += f", column {column}"
        super().__init__(f"{where}: found {self.found!r}, allowed: {allowed}")

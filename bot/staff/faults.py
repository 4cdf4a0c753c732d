"""What can't be done about staff, in a line for the command line and a key for the pages."""

from bot.usable import UnusableInput


class StaffFault(UnusableInput):
    """What was asked for about staff can't be; ``key`` is the same in the pages' words."""

    def __init__(self, key: str, line: str) -> None:
        super().__init__(line)
        self.key = key

"""Reading: what a message says, where it says it, and how sure that is. Pure; no clock, network or chance."""

from bot.reading.first import read_first
from bot.reading.reader import read_message
from bot.reading.refusals import CannotRead, NotText, TextTooLong

__all__ = ["CannotRead", "NotText", "TextTooLong", "read_first", "read_message"]

"""From a quote and its reading to words, pictures and JSON. Nothing here computes a quote, reads a message or sends a reply."""

from bot.replies.asked import question_text
from bot.replies.cautioned import caution_text
from bot.replies.finding import find_figure
from bot.replies.render import CHANNELS, Channel, render
from bot.replies.trace import explain

__all__ = ["CHANNELS", "Channel", "caution_text", "explain", "find_figure", "question_text", "render"]

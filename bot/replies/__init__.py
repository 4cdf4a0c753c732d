"""From a quote and its reading to words, pictures and JSON. Nothing here computes a quote, reads a message or sends a reply."""

from bot.replies.asked import question_text
from bot.replies.cautioned import caution_text
from bot.replies.finding import find_figure
from bot.replies.mail import EmailParts, MailPicture, render_email
from bot.replies.quote_json import quote_json
from bot.replies.render import CHANNELS, Channel, render
from bot.replies.schemas import schema
from bot.replies.trace import explain, explain_figure

__all__ = [
    "CHANNELS",
    "Channel",
    "EmailParts",
    "MailPicture",
    "caution_text",
    "explain",
    "explain_figure",
    "find_figure",
    "question_text",
    "quote_json",
    "render",
    "render_email",
    "schema",
]

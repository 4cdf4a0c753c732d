"""The assistant: reading, conversation, replies, and the shell around them."""

from bot.machine_code import take_over

take_over()

"""Fixture schedules that come as files: CSV, XLSX and text PDF, bounded, turned into tables that the reader reads."""

from bot.mail.attachments.files import Files, open_files

__all__ = ["Files", "open_files"]

"""Watches an IMAP folder and lays a draft beside every mail that is owed one; sends nothing."""

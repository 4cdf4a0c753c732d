"""``wattclerk schema NAME``: the JSON Schema of what a command takes or prints."""

import argparse
import json

from bot.schemas import schema_named


def run(arguments: argparse.Namespace) -> int:
    """Prints the schema."""
    print(json.dumps(schema_named(arguments.name), indent=2, ensure_ascii=False))
    return 0

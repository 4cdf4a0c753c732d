"""The words of the command line: every command with its options and help, and where its code is."""

import argparse
import importlib
import re
import sys
from collections.abc import Callable, Sequence
from typing import Any, Final, NoReturn

from bot.commands.light_words import number_between, points_ft
from bot.commands.staff_parser import add_staff_commands

CHANNELS: Final = ("terminal", "sms", "chat", "email", "email-html")
SCHEMAS: Final = ("reading", "conversation", "readings", "job", "quote", "message", "turn", "light", "draft")

_OPTIONS_OF_NUMBERS: Final = frozenset({"--at", "--height-ft", "--tilt-deg", "--spin-deg", "--llf"})
_NEGATIVE: Final = re.compile(r"\s*-[\s.]*[0-9]")
_EXAMPLE = 'example: wattclerk ask "twelve 250W wallpacks at 20 ft, $0.11/kWh, dusk-to-dawn"'


class _Parser(argparse.ArgumentParser):
    """Says what is off in one line, and where the help is."""

    def error(self, message: str) -> NoReturn:
        self.exit(2, f"{self.prog}: {message} (see: {self.prog} --help)\n")

    def parse_known_args(  # type: ignore[override]
        self, args: Sequence[str] | None = None, namespace: Any = None
    ) -> Any:
        """As usual, but what follows an option of numbers is its value even where it starts with a minus: ``--at -10,20``."""
        words = list(sys.argv[1:] if args is None else args)
        joined: list[str] = []
        for word in words:
            if joined and joined[-1] in _OPTIONS_OF_NUMBERS and _NEGATIVE.match(word):
                joined[-1] += f"={word}"
            else:
                joined.append(word)
        return super().parse_known_args(joined, namespace)


def build_parser() -> argparse.ArgumentParser:
    """The whole command line."""
    parser = _Parser(
        prog="wattclerk",
        description="Turns a loose text about old lighting into an LED quote whose every figure can be followed back.",
        epilog=_EXAMPLE,
    )
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)

    ask = commands.add_parser("ask", help="answer one text", description="Answers one text.", epilog=_EXAMPLE)
    _text(ask)
    ask.add_argument(
        "--channel", choices=CHANNELS, default="terminal", help="form of the answer (default: terminal)"
    )
    _sources(ask)

    read = commands.add_parser(
        "read",
        help="show what a text says",
        description="Shows what a text says: the reading, before anything is assumed or computed.",
    )
    _text(read, required=False)
    form = read.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="the reading as one JSON object")
    form.add_argument(
        "--jsonl",
        action="store_true",
        help="conversations from standard input, one JSON object a line; one line out for each",
    )
    form.add_argument(
        "--corpus-line",
        action="store_true",
        help="the text and its reading as one line of the message corpus (take names and phones out first)",
    )
    read.add_argument(
        "--correct",
        metavar="FILE",
        help="with --corpus-line: the right reading {intent, job, lines} as JSON; - is standard input",
    )
    read.add_argument("--why", metavar="SENTENCE", help="with --corpus-line: what is worth knowing about it")

    quote = commands.add_parser(
        "quote",
        help="quote a text or a job",
        description="Reads a text (or takes a job), selects products and computes the quote.",
    )
    _text(quote, required=False)
    quote.add_argument("--json", action="store_true", help="the quote as one JSON object")
    quote.add_argument(
        "--job", metavar="FILE", help="a job {job, lines} as JSON instead of a text; - is standard input"
    )
    quote.add_argument(
        "--save", action="store_true", help="keep the quote, so that its figures can be explained later"
    )
    quote.add_argument(
        "--pdf", metavar="FILE", help="write the quote as PDF to FILE too; a file that is there is replaced"
    )
    quote.add_argument(
        "--seller",
        metavar="ADDRESS",
        help='with --pdf: who quotes, for its head: "Counter <quotes@example.com>"',
    )
    quote.add_argument(
        "--valid-days",
        metavar="DAYS",
        type=number_between("prices hold for 1 to 365 days", 1, 365),
        default=30,
        help="with --pdf: how many days from today the prices hold (default: 30)",
    )
    quote.add_argument(
        "--existing-photometry",
        metavar="FILE",
        action="append",
        default=[],
        help="photometric file (.ies, .ldt) of what hangs there now, in place of a generic shape; 2=FILE is that of line 2",
    )
    _sources(quote)

    generic = commands.add_parser(
        "generic-light",
        help="the generic photometric file that stands for old luminaires",
        description="Prints, as LM-63, the generic light that stands for what hangs there now where no file of it is at hand. "
        "It is a shape of our own, not a measurement; lumens are initial.",
        epilog='example: wattclerk generic-light "250W metal halide wall pack" > old.ies',
    )
    _text(generic)
    _sources(generic)

    explain = commands.add_parser(
        "explain",
        help="show the working of a figure of a kept quote",
        description="Shows how a figure of a kept quote came about, down to what was said, assumed or looked up.",
        epilog="example: wattclerk explain QUOTE totals.simple_payback_years",
    )
    explain.add_argument("quote", metavar="QUOTE", help="the quote's id, as printed when it was kept")
    explain.add_argument(
        "figure", metavar="FIGURE", nargs="?", help="the figure; left out, the figures are listed"
    )

    serve = commands.add_parser(
        "serve",
        help="run the chat page and the JSON API",
        description="Serves the chat page and the JSON API until it is told to stop.",
    )
    serve.add_argument("--host", help="address to listen on (default: 127.0.0.1)")
    serve.add_argument(
        "--port", type=_port, help="port to listen on; 0 takes a free one (default: the first free from 8765)"
    )
    serve.add_argument(
        "--workers",
        metavar="N",
        type=_count,
        help="processes that answer messages, about one a core (default: 1; 0 answers in the server's own)",
    )
    _sources(serve)

    backup = commands.add_parser(
        "backup",
        help="copy everything that is kept to a file",
        description="Writes a consistent copy of the store to FILE while it is in use: a SQLite file, or for PostgreSQL an"
        " archive that pg_restore takes.",
    )
    backup.add_argument(
        "file", metavar="FILE", help="where to; a file that is there is replaced once the copy is whole"
    )

    aside = commands.add_parser(
        "aside",
        help="list what failed for good, and run it again",
        description="Lists messages that could not be answered and replies that could not be sent, each with its reason.",
        epilog="example: wattclerk aside --again m12 r7",
    )
    aside.add_argument(
        "--again", metavar="NAME", nargs="+", help="run these again (m12: message, r7: reply, or: all)"
    )
    aside.add_argument("--json", action="store_true", help="one JSON object a line")

    recompute = commands.add_parser(
        "recompute",
        help="make a kept quote again from what it was made from",
        description="Makes a kept quote again from the catalogue, tables, terms and tariff that it was made from, and says"
        " whether it comes out the same, byte for byte. Exit status 1 where it does not.",
    )
    recompute.add_argument("quote", metavar="QUOTE", help="the quote's id")
    recompute.add_argument("--json", action="store_true", help="the quote as it comes out now")

    requote = commands.add_parser(
        "requote",
        help="quote a kept job at today's prices",
        description="Quotes the job of a kept quote from today's catalogue, tables, terms and tariff. What comes out"
        " differently is kept as the quote's next revision.",
    )
    requote.add_argument("quote", metavar="QUOTE", help="the quote's id")
    _sources(requote)

    tariff = commands.add_parser(
        "tariff",
        help="check a tariff file and say what is in it",
        description="Checks a tariff file and prints it in plain words.",
        epilog="example: wattclerk tariff time_of_use.toml",
    )
    tariff.add_argument("file", metavar="FILE", help="TOML file of a tariff")

    light = commands.add_parser(
        "light",
        help="footcandles on the ground from a photometric file",
        description="Footcandles on the ground from one luminaire of a photometric file (LM-63 or EULUMDAT). The luminaire "
        "hangs over the point 0,0; y is ahead of it, away from the wall; x is to the right of who looks that way.",
        epilog='example: wattclerk light wall_pack.ies --height-ft 20 --at "0,20;0,40;-10,20"',
    )
    light.add_argument("file", metavar="FILE", help="LM-63 (.ies) or EULUMDAT (.ldt) file")
    light.add_argument(
        "--height-ft",
        metavar="H",
        required=True,
        type=number_between("a height is from 0.1 to 10,000 ft", 0.1, 10_000),
        help="height of the luminaire over the ground [ft]",
    )
    light.add_argument(
        "--tilt-deg",
        metavar="T",
        default=0.0,
        type=number_between("a tilt is from -180 to 180 degrees", -180, 180),
        help="how far it is tipped up to throw ahead [degrees] (default: 0, level)",
    )
    light.add_argument(
        "--llf",
        metavar="F",
        default=1.0,
        type=number_between("a light-loss factor is from 0.01 to 2", 0.01, 2),
        help="light-loss factor: dirt, lamp and ballast together (default: 1, initial light)",
    )
    light.add_argument(
        "--spin-deg",
        metavar="S",
        default=0.0,
        type=number_between("a spin is from -360 to 360 degrees", -360, 360),
        help="turns what the file calls forward [degrees of its horizontal angle]; many road luminaires in EULUMDAT files "
        "look along C 90 (default: 0)",
    )
    light.add_argument(
        "--at", metavar="POINTS", required=True, type=points_ft, help='points on the ground, "x,y;x,y" [ft]'
    )
    light.add_argument(
        "--json", action="store_true", help='{"lumens", "fc", "form", "notes"} as one JSON object'
    )

    draft = commands.add_parser(
        "draft",
        help="draft the answer to a mail",
        description="Reads one mail message (.eml) from standard input and prints a draft of the answer, marked as unsent. Where "
        "no answer is owed, or a person has to give it, prints nothing and says why on standard error.",
        epilog="example: wattclerk draft --own quotes@example.com < message.eml > reply.eml",
    )
    draft.add_argument(
        "files", metavar="FILE", nargs="*", help="with --json: messages to answer with one line each"
    )
    draft.add_argument(
        "--json",
        action="store_true",
        help='{"reply": "draft", "none" or "human", "reason", "reading"} as one JSON object',
    )
    draft.add_argument(
        "--own",
        metavar="ADDRESS",
        action="append",
        help='an address of ours, "quotes@example.com" or "Counter <quotes@example.com>"; may be given again',
    )
    draft.add_argument(
        "--without-pdf", action="store_true", help="do not attach the quote as PDF to a draft that quotes"
    )
    _sources(draft)

    mail = commands.add_parser(
        "mail",
        help="watch a mailbox and lay drafts",
        description="Watches a folder of an IMAP mailbox and lays a draft of the answer in Drafts for every mail that is owed one. "
        "Sends nothing. The mailbox is set by WATTCLERK_IMAP_URL, WATTCLERK_IMAP_PASSWORD_FILE and others like them.",
        epilog="example: WATTCLERK_IMAP_URL=imaps://quotes@mail.example.com WATTCLERK_IMAP_PASSWORD_FILE=password wattclerk mail",
    )
    mail.add_argument("--once", action="store_true", help="see to what is there now, then end")
    _sources(mail)

    add_staff_commands(commands)

    schema = commands.add_parser(
        "schema",
        help="print a JSON Schema",
        description="Prints the JSON Schema of what a command takes or prints.",
    )
    schema.add_argument("name", metavar="NAME", choices=SCHEMAS, help="one of: " + ", ".join(SCHEMAS))
    return parser


def command_named(name: str) -> Callable[[argparse.Namespace], int]:
    """The code of a command, imported now."""
    run: Callable[[argparse.Namespace], int] = importlib.import_module(
        f"bot.commands.{name.replace('-', '_')}"
    ).run
    return run


def _text(parser: argparse.ArgumentParser, *, required: bool = True) -> None:
    parser.add_argument(
        "text", metavar="TEXT", nargs=None if required else "?", help="the text; - reads standard input"
    )


def _sources(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--catalogue", metavar="FILE", help="CSV file of products (default: the demo catalogue)"
    )
    parser.add_argument(
        "--tables", metavar="FOLDER", help="folder of reference tables (default: the program's own)"
    )
    parser.add_argument(
        "--terms",
        metavar="FILE",
        help="TOML file of terms: sales tax, freight, lift, rebate program, discounting (default: none set)",
    )
    parser.add_argument(
        "--tariff",
        metavar="FILE",
        help="TOML file of the utility's tariff (default: the rate that the text states, else an average)",
    )


def _count(text: str) -> int:
    if not (text.isascii() and text.isdigit() and int(text[:6]) <= 256):
        raise argparse.ArgumentTypeError(f"{text!r} is not a number of processes from 0 to 256")
    return int(text)


def _port(text: str) -> int:
    try:
        port = int(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is not a port number") from None
    if not 0 <= port <= 65_535:
        raise argparse.ArgumentTypeError("a port is a number from 0 to 65535")
    return port

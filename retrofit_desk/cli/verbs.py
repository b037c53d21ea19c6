"""How a verb is told to the command line: its name, what it does, what it is given, and its help."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import NoReturn

from retrofit_desk.cli.answer import Answer

ANSWER_KEYS = """keys of the answer, with units: shared/answers/{}.schema.json
"""
HOUSE_KEYS = """keys of a house, with unit, range and what a missing one means: shared/house.schema.json;
two houses to start from: assets/example_houses
"""
EXIT_HELP = """exit codes: 0 done; 2 something in what you gave needs a change, or the command was mistyped;
3 the disk or a folder said no; 70 a fault of the program; 130 stopped by you"""


class Parser(argparse.ArgumentParser):
    """Tells a mistyped command on one line, as every other error."""

    def error(self, message: str) -> NoReturn:
        self.exit(2, f"{self.prog}: {message}. Try {self.prog} --help\n")


class Verbs:
    """The verbs of the command."""

    def __init__(self, parser: argparse.ArgumentParser) -> None:
        self._verbs = parser.add_subparsers(title="verbs", metavar="VERB", required=True)

    def verb(
        self, name: str, does: Callable[[argparse.Namespace], Answer], help_: str
    ) -> argparse.ArgumentParser:
        """Add one; what it is given is added to the parser that comes back."""
        one = self._verbs.add_parser(name, help=help_, description=help_, epilog=EXIT_HELP)
        one.add_argument("--json", action="store_true", help="print the answer as one JSON object")
        one.set_defaults(verb=does, verb_name=name)
        return one


def on_project(one: argparse.ArgumentParser) -> argparse.ArgumentParser:
    """The verb is given a project."""
    one.add_argument("project", type=Path, metavar="PROJECT", help="a project folder, NAME.retrofit")
    return one


def tell_more(one: argparse.ArgumentParser, *lines: str) -> None:
    """Lines at the end of the verb's help."""
    one.formatter_class = argparse.RawDescriptionHelpFormatter
    one.epilog = "".join((*lines, EXIT_HELP))

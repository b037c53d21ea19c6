"""The command line: the same services as the window, one verb each."""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Sequence

from retrofit_desk import __version__
from retrofit_desk.cli.answer import Answer
from retrofit_desk.cli.begin import begin
from retrofit_desk.cli.described_house import described_house
from retrofit_desk.cli.guard import EXIT_STOPPED, guarded
from retrofit_desk.cli.held_against import held_against
from retrofit_desk.cli.papers import PACKET_KINDS, papers
from retrofit_desk.cli.verbs import EXIT_HELP, Parser, Verbs
from retrofit_desk.cli.worth import worth

__all__ = ["PACKET_KINDS", "headless_tour", "main"]

VERBS = (begin, worth, held_against, described_house, papers)
"""By what they are about."""


def headless_tour() -> int:
    """Make the sample, work out its savings, write two packets and tell where they are."""
    from retrofit_desk.services.tour import take_tour

    return guarded(lambda: take_tour(lambda line: print(line, flush=True)), as_json=False)


def main(argv: Sequence[str] | None = None) -> int:
    """Run one verb; the answer goes to standard output, an error to standard error on one line.

    Without `argv` it is the whole of its process, and ends it at once when it is stopped.
    """
    args = _parser().parse_args(argv)
    code = guarded(lambda: _tell(args.verb(args), args), as_json=args.json)
    if code == EXIT_STOPPED and argv is None:
        _end_at_once(code)
    return code


def _end_at_once(code: int) -> None:
    """End the process under threads that work on: Python would wait until they have run their year.

    The record is closed by now; what they worked out is kept nowhere.
    """
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(code)


def _tell(answer: Answer, args: argparse.Namespace) -> None:
    if args.json:
        schema = {"schema": f"retrofit-desk/{args.verb_name}/1"}
        print(json.dumps(schema | answer.data, indent=2, ensure_ascii=False), flush=True)
    elif answer.lines:
        print("\n".join(answer.lines), flush=True)


def _parser() -> argparse.ArgumentParser:
    parser = Parser(
        prog="retrofit-desk",
        description="One desk for electrifying an old house: the house, the sums and the papers together.",
        epilog=EXIT_HELP,
    )
    parser.add_argument("--version", action="version", version=f"Retrofit Desk {__version__}")
    verbs = Verbs(parser)
    for add in VERBS:
        add(verbs)
    return parser

"""What every verb works with: its answer, the project it is asked about, and word of what it is doing."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from retrofit_desk.records.project import Project


@dataclass(frozen=True)
class Answer:
    """What a verb found out: lines for a person, one JSON object for a program."""

    lines: tuple[str, ...]
    data: dict[str, Any]


def open_project(path: Path, *, read_only: bool = False) -> Project:
    from retrofit_desk.records.project import Project

    return Project.open(path, read_only=read_only)


def progress_of(args: argparse.Namespace) -> Callable[[float, str], None]:
    """Long work tells what it is doing on a terminal, never into a pipe."""
    shows = sys.stderr.isatty() and not args.json

    def tell(share: float, doing: str) -> None:
        if shows:
            end = "\n" if share >= 1 else ""
            print(f"\r{share:4.0%} {doing:<60.60}", end=end, file=sys.stderr, flush=True)

    return tell

"""Verbs to begin with: open the window, or make a house to look at."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path

from retrofit_desk.cli.answer import Answer, open_project
from retrofit_desk.cli.verbs import Verbs
from retrofit_desk.values.errors import DeskError


class NoWindow(DeskError):
    """This machine cannot show a window."""

    exit_code = 3


def _open(args: argparse.Namespace) -> Answer:
    if not _has_display():
        raise NoWindow(
            "there is no display to open a window on", do="start it on a desktop, or use the other verbs"
        )
    if args.project is not None:  # what is wrong with it is told here, not in a window
        open_project(args.project, read_only=True).close()
    try:
        from retrofit_desk.desk.app import main as open_window
    except ImportError as error:
        raise NoWindow(
            f"the window's libraries cannot be loaded ({error})", do="install the system library it names"
        ) from error
    if open_window([str(args.project)] if args.project is not None else []) != 0:
        raise NoWindow("the window ended with a fault", kept="what was recorded before is kept")
    return Answer((), {})


def _has_display() -> bool:
    if not sys.platform.startswith("linux"):
        return True
    return any(os.environ.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"))


def _sample(args: argparse.Namespace) -> Answer:
    from retrofit_desk.services.sample import SAMPLES, make_sample, sample_folder

    house = SAMPLES[args.house]
    with make_sample(args.folder or sample_folder(house), house) as project:
        path = project.path
    line = f"Made the {house.title.lower()} in {path}"
    return Answer((line,), {"project": str(path)})


def begin(verbs: Verbs) -> None:
    """Open the window, or make a house to look at."""
    one = verbs.verb("open", _open, "Open the window on a project; when none is named, where you were last.")
    one.add_argument(
        "project", type=Path, nargs="?", metavar="PROJECT", help="a project folder, NAME.retrofit"
    )

    one = verbs.verb("sample", _sample, "Make the invented sample house as a project of its own.")
    one.add_argument(
        "folder", type=Path, nargs="?", metavar="FOLDER", help="where the project folder is made"
    )
    one.add_argument(
        "--house",
        choices=("gas", "oil"),
        default="gas",
        help="gas: a split-level in North Carolina, in the middle of its works; oil: a two-storey house "
        "in Alaska with radiators, at the beginning",
    )

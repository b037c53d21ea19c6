"""Verbs about papers and files: packets out, bills and readings in, the record out, copies and checks."""

from __future__ import annotations

import argparse
from pathlib import Path

from retrofit_desk.cli.answer import Answer, open_project, progress_of
from retrofit_desk.cli.verbs import Verbs, on_project
from retrofit_desk.values.quantity import count_text

PACKET_KINDS = ("rebate", "lender", "contractor", "inspector", "next-owner")


def _packet(args: argparse.Namespace) -> Answer:
    from retrofit_desk.services.packets import PacketService

    with open_project(args.project) as project:
        kind = args.kind.replace("-", " ")
        made = PacketService(project).make(kind, args.out, progress=progress_of(args))
    lines = (f"Wrote {made.path} ({count_text(made.pages, 'page')})", *made.readiness_lines)
    data = {
        "packet": args.kind,
        "path": str(made.path),
        "pages": made.pages,
        "sha256": made.sha256,
        "readiness": {word.replace(" ", "_"): count for word, count in made.readiness_counts.items()},
        "open": list(made.readiness_lines),
    }
    return Answer(lines, data)


def _read_in(args: argparse.Namespace) -> Answer:
    from retrofit_desk.services.read_in import look_into, read_in

    with open_project(args.project, read_only=args.look) as project:
        does = look_into if args.look else read_in
        done = does(project, args.file, kind=args.kind, meter=args.meter, machine=args.machine)
    data = {"file": str(args.file), "kind": done.kind, "rows": done.rows, "about": list(done.about)}
    return Answer((done.line, *done.about), data)


def _write_out(args: argparse.Namespace) -> Answer:
    from retrofit_desk.services.write_out import write_out

    with open_project(args.project, read_only=True) as project:
        written = write_out(project, args.file)
    return Answer((f"Wrote {written}",), {"path": str(written)})


def _backup(args: argparse.Namespace) -> Answer:
    with open_project(args.project) as project:
        path = project.backup_now().folder
    return Answer((f"Backup made and checked: {path}",), {"backup": str(path)})


def _check_files(args: argparse.Namespace) -> Answer:
    from retrofit_desk.records.check_files import check_files

    with open_project(args.project, read_only=True) as project:
        report = check_files(project)
    data = {
        "whole": report.whole,
        "gone": [one.title for one in report.gone],
        "changed": [one.title for one in report.changed],
        "unknown_files": list(report.unknown),
        "sound": report.is_sound,
    }
    return Answer(tuple(report.lines()), data)


def papers(verbs: Verbs) -> None:
    """Packets out; bills and readings in; the record out; copies and checks."""
    one = on_project(verbs.verb("packet", _packet, "Make a packet as PDF and say what it still lacks."))
    one.add_argument(
        "kind", choices=PACKET_KINDS, metavar="KIND", help="for whom: " + ", ".join(PACKET_KINDS)
    )
    one.add_argument(
        "--out", type=Path, metavar="FILE.pdf", help="where to write it; a name is made up if left out"
    )

    one = on_project(
        verbs.verb(
            "read-in",
            _read_in,
            "Read in bills, a meter's readings, daily temperatures, weather, or the log of a machine.",
        )
    )
    one.add_argument("file", type=Path, metavar="FILE", help="the file to read")
    one.add_argument(
        "--kind",
        choices=("bills", "readings", "temperatures", "weather", "log"),
        help="what it is; told from the file if left out",
    )
    one.add_argument("--meter", metavar="NAME", help="the meter that bills or readings belong to")
    one.add_argument("--machine", metavar="NAME", help="the machine whose controller wrote the log")
    one.add_argument("--look", action="store_true", help="tell what the file holds and keep nothing")

    one = on_project(
        verbs.verb("write-out", _write_out, "Write the house, the tables or the dates to a file.")
    )
    one.add_argument(
        "file", type=Path, metavar="FILE", help=".json: the house; .xlsx: measures and money; .ics: dates"
    )

    on_project(verbs.verb("backup", _backup, "Make a backup of the project and check it."))
    on_project(
        verbs.verb("check-files", _check_files, "Compare every filed paper with its recorded content.")
    )

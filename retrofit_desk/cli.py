"""The command line: the same services as the window, one verb each."""

from __future__ import annotations

import argparse
import errno
import json
import os
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from retrofit_desk import __version__
from retrofit_desk.values.errors import DeskError

if TYPE_CHECKING:
    from retrofit_desk.records.project import Project

EXIT_OK = 0
EXIT_OUR_FAULT = 70
EXIT_STOPPED = 130
PACKET_KINDS = ("rebate", "lender", "contractor", "inspector", "next-owner")


@dataclass(frozen=True)
class Answer:
    """What a verb found out: lines for a person, one JSON object for a program."""

    lines: tuple[str, ...]
    data: dict[str, Any]


class FileTrouble(DeskError):
    """The disk or a folder said no."""

    exit_code = 3


class NotThere(DeskError):
    """A file or folder that was named is not there."""


class NoWindow(DeskError):
    """This machine cannot show a window."""

    exit_code = 3


def _open(args: argparse.Namespace) -> Answer:
    if not _has_display():
        raise NoWindow(
            "there is no display to open a window on", do="start it on a desktop, or use the other verbs"
        )
    if args.project is not None:
        _project(args.project, read_only=True).close()  # what is wrong with it is told here, not in a window
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


def _savings(args: argparse.Namespace) -> Answer:
    from retrofit_desk.services.worth import WorthService
    from retrofit_desk.services.worth_words import savings_data, savings_lines
    from retrofit_desk.services.worth_years import WorthYearsService
    from retrofit_desk.services.worth_years_data import years_data, years_lines

    with _project(args.project) as project:
        savings = WorthService(project).savings(progress=_progress(args))
        years = WorthYearsService(project).of(savings)
    lines = savings_lines(savings, years_lines(years))
    return Answer(lines, savings_data(savings) | years_data(savings, years))


def _run_year(args: argparse.Namespace) -> Answer:
    from retrofit_desk.exchange.house_file import read_house
    from retrofit_desk.exchange.weather import read_weather
    from retrofit_desk.services.described_house import run_described
    from retrofit_desk.services.year_words import described_data, described_lines

    found = run_described(read_house(args.house), read_weather(args.weather), args.tariff)
    lines = described_lines(found)
    if args.out:
        from retrofit_desk.exchange.plant_report import plant_columns
        from retrofit_desk.exchange.year_report import write_report

        plant = plant_columns(found.plant) if found.plant is not None else []
        written = write_report(found.year, described_data(found, hourly=False), plant, args.out)
        lines += tuple(f"Wrote {path}" for path in written)
    return Answer(lines, described_data(found, hourly=args.hourly) if args.json else {})


def _check_house(args: argparse.Namespace) -> Answer:
    from retrofit_desk.exchange.house_file import read_house
    from retrofit_desk.services.year_words import house_data, house_lines

    house = read_house(args.house)
    return Answer(house_lines(house), {"house": str(args.house), "sound": True} | house_data(house))


def _packet(args: argparse.Namespace) -> Answer:
    from retrofit_desk.services.packets import PacketService

    with _project(args.project) as project:
        kind = args.kind.replace("-", " ")
        made = PacketService(project).make(kind, args.out, progress=_progress(args))
    lines = (f"Wrote {made.path} ({made.pages} pages)", *made.readiness_lines)
    data = {
        "packet": args.kind,
        "path": str(made.path),
        "pages": made.pages,
        "sha256": made.sha256,
        "readiness": {word.replace(" ", "_"): count for word, count in made.readiness_counts.items()},
        "open": list(made.readiness_lines),
    }
    return Answer(lines, data)


def _sizes(args: argparse.Namespace) -> Answer:
    from retrofit_desk.services.sizing import SizingService, sizing_data, sizing_lines
    from retrofit_desk.values.quantity import Units

    with _project(args.project, read_only=True) as project:
        service = SizingService(project)
        sheet = service.sheet(service.named(args.measure), Units.US, _progress(args))
    return Answer(sizing_lines(sheet), sizing_data(sheet))


def _read_in(args: argparse.Namespace) -> Answer:
    from retrofit_desk.services.read_in import look_into, read_in

    with _project(args.project, read_only=args.look) as project:
        does = look_into if args.look else read_in
        done = does(project, args.file, kind=args.kind, meter=args.meter)
    data = {"file": str(args.file), "kind": done.kind, "rows": done.rows, "about": list(done.about)}
    return Answer((done.line, *done.about), data)


def _write_out(args: argparse.Namespace) -> Answer:
    from retrofit_desk.services.write_out import write_out

    with _project(args.project, read_only=True) as project:
        written = write_out(project, args.file)
    return Answer((f"Wrote {written}",), {"path": str(written)})


def _backup(args: argparse.Namespace) -> Answer:
    with _project(args.project) as project:
        path = project.backup_now().folder
    return Answer((f"Backup made and checked: {path}",), {"backup": str(path)})


def _check_files(args: argparse.Namespace) -> Answer:
    from retrofit_desk.records.check_files import check_files

    with _project(args.project, read_only=True) as project:
        report = check_files(project)
    data = {
        "whole": report.whole,
        "gone": [one.title for one in report.gone],
        "changed": [one.title for one in report.changed],
        "unknown_files": list(report.unknown),
        "sound": report.is_sound,
    }
    return Answer(tuple(report.lines()), data)


def _project(path: Path, *, read_only: bool = False) -> Project:
    from retrofit_desk.records.project import Project

    return Project.open(path, read_only=read_only)


def _progress(args: argparse.Namespace) -> Callable[[float, str], None]:
    """Long work tells what it is doing on a terminal, never into a pipe."""
    shows = sys.stderr.isatty() and not args.json

    def tell(share: float, doing: str) -> None:
        if shows:
            end = "\n" if share >= 1 else ""
            print(f"\r{share:4.0%} {doing:<60.60}", end=end, file=sys.stderr, flush=True)

    return tell


def _fail(error: DeskError, *, as_json: bool) -> int:
    if as_json:
        told = {"schema": "retrofit-desk/error/1", "error": error.line(), "kind": type(error).__name__}
        print(json.dumps(told, ensure_ascii=False), file=sys.stderr)
    else:
        print(error.line(), file=sys.stderr)
    return error.exit_code


def _file_trouble(error: OSError) -> DeskError:
    where = str(error.filename or "")
    kept = "what was recorded before is kept"
    match error.errno:
        case errno.ENOSPC:
            return FileTrouble(
                "the disk is full", where=where, kept=kept, do="free some space, then try again"
            )
        case errno.EACCES | errno.EPERM | errno.EROFS:
            return FileTrouble(
                "this place cannot be written or read", where=where, kept=kept, do="choose another folder"
            )
        case errno.ENOENT:
            return NotThere("no such file or folder", where=where, do="check the name and the path")
        case errno.EISDIR | errno.ENOTDIR:
            return FileTrouble(
                "a file was expected where a folder stands, or the other way round", where=where
            )
        case _:
            return FileTrouble(error.strerror or "the file could not be used", where=where, kept=kept)


def _own_fault(error: Exception) -> int:
    """A bug of ours: keep the whole of it in the log, tell the owner one line."""
    import traceback

    import platformdirs

    log = Path(platformdirs.user_log_dir("retrofit-desk")) / "faults.log"
    details = str(log)
    try:
        log.parent.mkdir(parents=True, exist_ok=True)
        with log.open("a", encoding="utf-8") as file:
            file.write("".join(traceback.format_exception(error)) + "\n")
    except OSError:
        details = f"{type(error).__name__}; {log} could not be written"
    print(
        f"This is a fault of the program, not yours. What was recorded before is kept. Details: {details}",
        file=sys.stderr,
    )
    return EXIT_OUR_FAULT


def headless_tour() -> int:
    """Make the sample, work out its savings, write two packets and tell where they are."""
    from retrofit_desk.services.tour import take_tour

    return _guarded(lambda: take_tour(lambda line: print(line, flush=True)), as_json=False)


def main(argv: Sequence[str] | None = None) -> int:
    """Run one verb; the answer goes to standard output, an error to standard error on one line."""
    args = _parser().parse_args(argv)
    return _guarded(lambda: _tell(args.verb(args), args), as_json=args.json)


def _tell(answer: Answer, args: argparse.Namespace) -> None:
    if args.json:
        schema = {"schema": f"retrofit-desk/{args.verb_name}/1"}
        print(json.dumps(schema | answer.data, indent=2, ensure_ascii=False), flush=True)
    elif answer.lines:
        print("\n".join(answer.lines), flush=True)


def _guarded(work: Callable[[], None], *, as_json: bool) -> int:
    """Do the work; whatever goes wrong becomes one line and an exit code."""
    try:
        work()
    except DeskError as error:
        return _fail(error, as_json=as_json)
    except BrokenPipeError:
        # whoever read the answer has read enough; Python would complain at its own exit otherwise
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except OSError as error:
        return _fail(_file_trouble(error), as_json=as_json)
    except KeyboardInterrupt:
        print("Stopped. What was recorded before is kept.", file=sys.stderr)
        return EXIT_STOPPED
    except Exception as error:
        return _own_fault(error)
    return EXIT_OK


ANSWER_KEYS = """keys of the answer, with units: shared/answers/{}.schema.json
"""
HOUSE_KEYS = """keys of a house, with unit, range and what a missing one means: shared/house.schema.json;
two houses to start from: assets/example_houses
"""
EXIT_HELP = """exit codes: 0 done; 2 something in what you gave needs a change, or the command was mistyped;
3 the disk or a folder said no; 70 a fault of the program; 130 stopped by you"""


class _Parser(argparse.ArgumentParser):
    """Tells a mistyped command on one line, as every other error."""

    def error(self, message: str) -> NoReturn:
        self.exit(2, f"{self.prog}: {message}. Try {self.prog} --help\n")


class _Verbs:
    """The verbs of the command, by what they are about."""

    def __init__(self, parser: argparse.ArgumentParser) -> None:
        self._verbs = parser.add_subparsers(title="verbs", metavar="VERB", required=True)

    def _verb(
        self, name: str, does: Callable[[argparse.Namespace], Answer], help_: str
    ) -> argparse.ArgumentParser:
        one = self._verbs.add_parser(name, help=help_, description=help_, epilog=EXIT_HELP)
        one.add_argument("--json", action="store_true", help="print the answer as one JSON object")
        one.set_defaults(verb=does, verb_name=name)
        return one

    @staticmethod
    def _told(one: argparse.ArgumentParser, *lines: str) -> None:
        one.formatter_class = argparse.RawDescriptionHelpFormatter
        one.epilog = "".join((*lines, EXIT_HELP))

    @staticmethod
    def _on_project(one: argparse.ArgumentParser) -> argparse.ArgumentParser:
        one.add_argument("project", type=Path, metavar="PROJECT", help="a project folder, NAME.retrofit")
        return one

    def begin(self) -> None:
        """Open the window, or make a house to look at."""
        one = self._verb(
            "open", _open, "Open the window on a project; when none is named, where you were last."
        )
        one.add_argument(
            "project", type=Path, nargs="?", metavar="PROJECT", help="a project folder, NAME.retrofit"
        )

        one = self._verb("sample", _sample, "Make the invented sample house as a project of its own.")
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

    def worth(self) -> None:
        """What measures are worth and what they must carry."""
        one = self._on_project(
            self._verb(
                "savings", _savings, "Work out what the measures are worth, hour by hour over a typical year."
            )
        )
        self._told(one, ANSWER_KEYS.format("savings"))

        one = self._on_project(
            self._verb("sizes", _sizes, "Say what a measure must carry, to hold an offer against.")
        )
        one.add_argument("measure", metavar="MEASURE", help="its title, or the beginning of it")

    def described_house(self) -> None:
        """A house known by its description alone."""
        one = self._verb(
            "run-year", _run_year, "Run any described house, and its plant, through one year of weather."
        )
        one.add_argument("house", type=Path, metavar="HOUSE.json", help="a house description")
        one.add_argument(
            "--weather",
            type=Path,
            required=True,
            metavar="FILE",
            help="a typical year by the hour (.epw, TMY3 .csv), or twelve months of normals (.toml)",
        )
        one.add_argument(
            "--tariff",
            action="append",
            default=[],
            metavar="FUEL=FILE",
            help="bill a described plant's fuel by this tariff file; once for each fuel",
        )
        one.add_argument("--hourly", action="store_true", help="with --json: every hour of every zone too")
        self._told(one, HOUSE_KEYS, ANSWER_KEYS.format("run-year"))
        one.add_argument(
            "--out", type=Path, metavar="DIR", help="also write hourly tables, a chart and the summary there"
        )

        one = self._verb(
            "check-house", _check_house, "Say whether a house description is sound, and what is in it."
        )
        one.add_argument("house", type=Path, metavar="HOUSE.json", help="a house description")
        self._told(one, HOUSE_KEYS, ANSWER_KEYS.format("check-house"))

    def papers(self) -> None:
        """Packets out; bills and readings in; the record out; copies and checks."""
        one = self._on_project(
            self._verb("packet", _packet, "Make a packet as PDF and say what it still lacks.")
        )
        one.add_argument(
            "kind", choices=PACKET_KINDS, metavar="KIND", help="for whom: " + ", ".join(PACKET_KINDS)
        )
        one.add_argument(
            "--out", type=Path, metavar="FILE.pdf", help="where to write it; a name is made up if left out"
        )

        one = self._on_project(
            self._verb(
                "read-in",
                _read_in,
                "Read in bills, a meter's readings by the hour or finer, daily temperatures, or weather.",
            )
        )
        one.add_argument("file", type=Path, metavar="FILE", help="the file to read")
        one.add_argument(
            "--kind",
            choices=("bills", "readings", "temperatures", "weather"),
            help="what it is; told from the file if left out",
        )
        one.add_argument("--meter", metavar="NAME", help="the meter that bills or readings belong to")
        one.add_argument("--look", action="store_true", help="tell what the file holds and keep nothing")

        one = self._on_project(
            self._verb("write-out", _write_out, "Write the house, the tables or the dates to a file.")
        )
        one.add_argument(
            "file", type=Path, metavar="FILE", help=".json: the house; .xlsx: measures and money; .ics: dates"
        )

        self._on_project(self._verb("backup", _backup, "Make a backup of the project and check it."))
        self._on_project(
            self._verb("check-files", _check_files, "Compare every filed paper with its recorded content.")
        )


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog="retrofit-desk",
        description="One desk for electrifying an old house: the house, the sums and the papers together.",
        epilog=EXIT_HELP,
    )
    parser.add_argument("--version", action="version", version=f"Retrofit Desk {__version__}")
    verbs = _Verbs(parser)
    verbs.begin()
    verbs.worth()
    verbs.described_house()
    verbs.papers()
    return parser


if __name__ == "__main__":
    sys.exit(main())

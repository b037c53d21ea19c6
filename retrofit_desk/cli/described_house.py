"""Verbs about a house that is known by its description alone."""

from __future__ import annotations

import argparse
from pathlib import Path

from retrofit_desk.cli.answer import Answer
from retrofit_desk.cli.verbs import ANSWER_KEYS, HOUSE_KEYS, Verbs, tell_more


def _run_year(args: argparse.Namespace) -> Answer:
    from retrofit_desk.exchange.house_file import read_house
    from retrofit_desk.exchange.weather import read_weather
    from retrofit_desk.services.described_house import run_described
    from retrofit_desk.services.year_words import described_data, described_lines

    found = run_described(
        read_house(args.house), read_weather(args.weather), args.tariff, args.grid, args.tables
    )
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


def described_house(verbs: Verbs) -> None:
    """A house known by its description alone."""
    one = verbs.verb(
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
    one.add_argument(
        "--grid",
        metavar="REGION",
        help="also weigh the carbon in use, power by this subregion of grid_factors.csv (CAMX, SRVC, ...)",
    )
    one.add_argument(
        "--tables",
        type=Path,
        metavar="FOLDER",
        help="your own tables (grid_hours.csv, grid_factors.csv, ...) in place of the program's",
    )
    one.add_argument("--hourly", action="store_true", help="with --json: every hour of every zone too")
    tell_more(one, HOUSE_KEYS, ANSWER_KEYS.format("run-year"))
    one.add_argument(
        "--out", type=Path, metavar="DIR", help="also write hourly tables, a chart and the summary there"
    )

    one = verbs.verb(
        "check-house", _check_house, "Say whether a house description is sound, and what is in it."
    )
    one.add_argument("house", type=Path, metavar="HOUSE.json", help="a house description")
    tell_more(one, HOUSE_KEYS, ANSWER_KEYS.format("check-house"))

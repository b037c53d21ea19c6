"""Verbs about measures: what they are worth and what they must carry."""

from __future__ import annotations

import argparse

from retrofit_desk.cli.answer import Answer, open_project, progress_of
from retrofit_desk.cli.verbs import ANSWER_KEYS, Verbs, on_project, tell_more


def _savings(args: argparse.Namespace) -> Answer:
    from retrofit_desk.services.ladder_words import ladder_data, ladder_lines
    from retrofit_desk.services.worth import WorthService
    from retrofit_desk.services.worth_words import savings_data, savings_lines
    from retrofit_desk.services.worth_years import WorthYearsService
    from retrofit_desk.services.worth_years_data import years_data, years_lines

    with open_project(args.project) as project:
        service = WorthService(project)
        savings = service.current()
        if args.all_sets and (savings is None or not savings.fair_parts_are_counted):
            savings = service.every_set(progress_of(args))
        elif savings is None:
            savings = service.savings(progress_of(args))
        years = WorthYearsService(project).of(savings)
    lines = (*savings_lines(savings, years_lines(years)), *ladder_lines(savings))
    return Answer(lines, savings_data(savings) | years_data(savings, years) | ladder_data(savings))


def _sizes(args: argparse.Namespace) -> Answer:
    from retrofit_desk.services.sizing import SizingService, sizing_data, sizing_lines
    from retrofit_desk.values.quantity import Units

    with open_project(args.project, read_only=True) as project:
        service = SizingService(project)
        sheet = service.sheet(service.named(args.measure), Units.US, progress_of(args))
    return Answer(sizing_lines(sheet), sizing_data(sheet))


def worth(verbs: Verbs) -> None:
    """What measures are worth and what they must carry."""
    one = on_project(
        verbs.verb(
            "savings",
            _savings,
            "Say what the measures are worth over a typical year; worked out where it is not known yet.",
        )
    )
    one.add_argument(
        "--all-sets", action="store_true", help="run every set of the measures and count each one's fair part"
    )
    tell_more(one, ANSWER_KEYS.format("savings"))

    one = on_project(verbs.verb("sizes", _sizes, "Say what a measure must carry, to hold an offer against."))
    one.add_argument("measure", metavar="MEASURE", help="its title, or the beginning of it")

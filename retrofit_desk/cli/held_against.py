"""Verbs that hold the model or the work against something else: bills, a meter's hours, a battery."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from retrofit_desk.cli.answer import Answer, open_project, progress_of
from retrofit_desk.cli.verbs import Verbs, on_project
from retrofit_desk.values.quantity import Units

if TYPE_CHECKING:
    from retrofit_desk.services.bills_fit import Errors, FitToBills
    from retrofit_desk.services.did_it_work import Saved, WorkAnswer
    from retrofit_desk.services.storage import Shift, StoresCompared
    from retrofit_desk.services.strip_heat import StripHeat


def _fit(args: argparse.Namespace) -> Answer:
    from retrofit_desk.services import bills_fit_words as words
    from retrofit_desk.services.bills_fit import BillsFitService

    with open_project(args.project) as project:
        service = BillsFitService(project)
        found = service.latest()
        if found is None or service.changed_since():
            found = service.fit(progress_of(args))
    lines = [words.headline(found), words.basis(found), ""]
    for fuel in found.fuels:
        lines += [f"{fuel.name}: {words.errors_text(fuel.fitted)}", f"  {words.meter_why(fuel)}"]
    lines.append("")
    for trait in found.traits:
        change = words.trait_change(trait, Units.US)
        lines += [
            f"{words.trait_title(trait)}: {change}",
            f"  {words.trait_why(found, trait, Units.US)}",
        ]
    return Answer(tuple(lines), _fit_data(found))


def _fit_data(found: FitToBills) -> dict[str, Any]:
    def errors(one: Errors) -> dict[str, float]:
        return {"cv_rmse_share": one.cv, "nmbe_share": one.bias}

    return {
        "is_within_limits": found.is_within_limits,
        "meters": [
            {
                "name": one.name,
                "fuel": one.fuel,
                "as_described": errors(one.described),
                "as_fitted": errors(one.fitted),
            }
            for one in found.fuels
        ],
        "traits": [
            {"name": one.name, "in_kelvin": one.in_kelvin, "change": one.change, "is_told": one.is_told}
            for one in found.traits
        ],
        "cannot_tell_apart": [[pair.one, pair.other] for pair in found.alike],
    }


def _did_it_work(args: argparse.Namespace) -> Answer:
    from retrofit_desk.services import did_it_work_words as words
    from retrofit_desk.services.did_it_work import DidItWorkService
    from retrofit_desk.services.strip_heat import StripHeatService

    with open_project(args.project, read_only=True) as project:
        works = DidItWorkService(project).works()
        strips = StripHeatService(project).look()
    lines = [] if works else [words.NOTHING]
    for work in works:
        saved = words.work_saved(work)
        lines.append(f"{work.title}: {words.answer_word(work.answer)}{f'; {saved}' if saved else ''}")
        lines.append(f"  {words.work_why(work)}")
        lines += [f"  {one.name}: saved {words.meter_saved(one)}" for one in work.meters if one.saved]
        lines += [f"  {line}" for line in words.grounds(work).splitlines()]
    if works:
        lines.append(words.bills_weather(works[0].weather))
    return Answer((*lines, "", *_strip_lines(strips)), _work_data(works, strips))


def _strip_lines(found: StripHeat) -> tuple[str, ...]:
    from retrofit_desk.services import strip_heat_words as words

    if found.sign is None:
        return ("Do strips run? Cannot say.", f"  {found.why_not}")
    beyond = words.beyond(found.sign)
    return (
        f"Do strips run? {words.title(found, found.sign)}{f'; {beyond}' if beyond else ''}",
        f"  {words.why(found, found.sign, Units.US)}",
        f"  {words.basis(found)}",
    )


def _work_data(works: tuple[WorkAnswer, ...], strips: StripHeat) -> dict[str, Any]:
    from retrofit_desk.services.did_it_work_words import answer_word

    def saved(one: Saved | None, unit: str) -> dict[str, float | None]:
        amount, half = (None, None) if one is None else (one.saved, one.half_width)
        return {f"saved_{unit}": amount, f"saved_half_width_{unit}": half}

    return {
        "works": [
            {
                "measures": [one.title for one in work.measures],
                "began": work.began.isoformat(),
                "ended": work.ended.isoformat(),
                "answer": answer_word(work.answer),
                "reason": work.reason,
                "meters": [
                    {"name": one.name, "unit": one.unit} | saved(one.saved, "in_its_unit")
                    for one in work.meters
                ],
            }
            | saved(work.site_kwh, "kwh")
            | saved(work.money_cents, "cents")
            for work in works
        ],
        "strips": None if strips.sign is None else strips.sign.answer,
        "strips_why_not": strips.why_not,
    }


def _against_battery(args: argparse.Namespace) -> Answer:
    from retrofit_desk.services import storage_words as words
    from retrofit_desk.services.storage import StorageService

    with open_project(args.project) as project:
        service = StorageService(project)
        if not service.has_stores():
            return Answer(("No measure of the line-up keeps heat or cold.",), {"stores": []})
        found = service.latest()
        if found is None or service.changed_since():
            found = service.compare(progress_of(args))
    lines = [words.headline(found), words.made(found)]
    for one in found.stores:
        lines += ["", f"{one.title} / a battery of equal use"]
        lines += [f"  {row.what:<26}{row.store:<28}{row.battery}" for row in words.lines(one, Units.US)]
        lines.append(f"  {words.basis(one)}")
    return Answer((*lines, "", words.CAUTION), _stores_data(found))


def _stores_data(found: StoresCompared) -> dict[str, Any]:
    def moved(one: Shift | None) -> dict[str, float] | None:
        return None if one is None else vars(one) | {"returned_share": one.returned_share}

    return {
        "stores": [
            {
                "title": one.title,
                "store": moved(one.found.store),
                "battery": moved(one.found.battery),
                "battery_usable_kwh": one.found.battery_kwh,
                "heat_pump_cop_before": one.found.cop_before,
                "heat_pump_cop_with": one.found.cop_with,
            }
            for one in found.stores
        ]
    }


def held_against(verbs: Verbs) -> None:
    """The model against the bills, the work against the bills, heat kept against power kept."""
    on_project(
        verbs.verb(
            "fit",
            _fit,
            "Fit the model to the house's own bills, and say what they tell; told at once where it is known.",
        )
    )
    on_project(
        verbs.verb(
            "did-it-work",
            _did_it_work,
            "Ask the bills whether finished work saved anything, and the meter's hours whether strips run.",
        )
    )
    on_project(
        verbs.verb(
            "against-battery",
            _against_battery,
            "Hold a store of heat or cold against a battery that moves as much use.",
        )
    )

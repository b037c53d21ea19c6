"""A request in plain words, the same for every firm."""

from __future__ import annotations

from retrofit_desk.services.quote_values import RequestSheet
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.quantity import Dimension, Units, show, show_about

CAPACITY = "capacity at the design temperature, and the load you sized for, with its method"
_TO_STATE = (
    "exact make and model of every part, and the certificate that the parts belong together",
    "whether somebody measured at the house, and which version of the house the quote is for",
    "license number, liability and workers' compensation insurance, valid on the day of signing",
    "deposit, stages of payment, tax, and how long the price holds",
    "who pulls the permit, start and finish, warranty on parts and on labor, and who registers it",
    "unit prices for surprises: by the hour, the foot, the sheet",
)


def to_state(*, with_load: bool) -> tuple[str, ...]:
    """What every answer must say; the capacity where the request gives a load."""
    return (CAPACITY, *_TO_STATE) if with_load else _TO_STATE


def request_message(sheet: RequestSheet) -> str:
    """The letter: what is asked for line by line, the load, and what the answer must state."""
    lines = [f"Request for a quote: {sheet.row.title}", ""]
    if sheet.row.answer_by is not None:
        lines += [f"Please answer by {day_text(sheet.row.answer_by)}.", ""]
    lines.append(
        "Every firm gets this same list. Please say for each line: included, excluded, or an allowance."
    )
    lines += [f"{number}. {item.text}" for number, item in enumerate(sheet.scope, start=1)]
    if sheet.load is not None:
        both = [
            f"{show_about(sheet.load.heating_w, Dimension.POWER, units)} at "
            f"{show(sheet.load.at_heating_c, Dimension.TEMPERATURE, units)}"
            for units in (Units.US, Units.SI)
        ]
        lines += ["", f"Heating load of the house: {both[0]} ({both[1]}), {sheet.load.name}."]
        if sheet.load.method:
            lines.append(f"Method: {sheet.load.method}.")
    lines += [
        "",
        "Please state as well:",
        *(f"- {line}" for line in to_state(with_load=sheet.load is not None)),
    ]
    return "\n".join(lines)

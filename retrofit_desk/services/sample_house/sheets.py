"""Which paper proves which recorded row of the sample house."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from retrofit_desk.records import models as m
from retrofit_desk.services.sample_house import money_sheets as money
from retrofit_desk.services.sample_house import site_sheets as site
from retrofit_desk.services.sample_house.letterhead import Drawn, Letterhead
from retrofit_desk.services.sample_house.printing import Sheet

_FORMS: dict[type[m.Base], Callable[[Letterhead, Any], Drawn | None]] = {
    m.Quote: money.quote,
    m.Contract: money.contract,
    m.ChangeOrder: money.change_order,
    m.Invoice: money.invoice,
    m.LienWaiver: money.waiver,
    m.Loan: money.loan,
    m.Permit: site.permit,
    m.Inspection: site.inspection,
    m.Reservation: site.reservation,
    m.Claim: site.claim,
    m.LeakageTest: site.leakage,
    m.CommissioningTest: site.test,
}


def paper_of(at: Letterhead, row: m.Base, printed: dict[str, str]) -> Drawn | None:
    """The paper of this row, or None where its kind or its state has none.

    `printed`: what the firm wrote otherwise than it is recorded, by kind of fact.
    """
    form = _FORMS.get(type(row))
    drawn = form(at, row) if form else None
    return drawn and _with_print(drawn, printed)


def _with_print(drawn: Drawn, printed: dict[str, str]) -> Drawn:
    """The same paper with what the firm wrote otherwise: the facts say what is printed."""
    if not printed:
        return drawn
    swaps = {value: printed[str(kind)] for kind, _label, value in drawn.facts if str(kind) in printed}
    facts = tuple((kind, label, swaps.get(value, value)) for kind, label, value in drawn.facts)
    fields = tuple((name, _swapped(text, swaps)) for name, text in drawn.sheet.fields)
    sheet = Sheet(**{**vars(drawn.sheet), "fields": fields})
    return Drawn(**{**vars(drawn), "facts": facts, "sheet": sheet})


def _swapped(text: str, swaps: dict[str, str]) -> str:
    for before, after in swaps.items():
        text = text.replace(before, after)
    return text

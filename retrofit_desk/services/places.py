"""What a recorded thing is called, and on which page it is dealt with."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sqlalchemy.orm import Session

from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperSubject
from retrofit_desk.values.dates import day_text, month_text
from retrofit_desk.values.place import Found, PageKey, Place

_Describe = Callable[[Any], tuple[str, str, Place]]


def _measure(row: m.Measure) -> tuple[str, str, Place]:
    return row.title, "measure", Place(PageKey.MEASURES, "measure", row.id)


def _entry(row: m.WorkEntry) -> tuple[str, str, Place]:
    place = Place(PageKey.MEASURES, "measure", row.measure_id)
    return f"{row.measure.title}, {day_text(row.worked_on)}", "work written up", place


def _item(row: m.InstalledItem) -> tuple[str, str, Place]:
    return row.product, "installed item", Place(PageKey.MEASURES, "measure", row.entry.measure_id)


def _test(row: m.CommissioningTest) -> tuple[str, str, Place]:
    return row.quantity, "test", Place(PageKey.MEASURES, "measure", row.entry.measure_id)


def _room(row: m.Room) -> tuple[str, str, Place]:
    return row.name, "room", Place(PageKey.HOUSE, "room", row.id)


def _surface(row: m.Surface) -> tuple[str, str, Place]:
    return f"{row.room.name}, {row.name}", "surface", Place(PageKey.HOUSE, "surface", row.id)


def _opening(row: m.Opening) -> tuple[str, str, Place]:
    return f"{row.surface.room.name}, {row.name}", "opening", Place(PageKey.HOUSE, "surface", row.surface_id)


def _quote(row: m.Quote) -> tuple[str, str, Place]:
    return f"{row.firm.name}, {row.request.title}", "quote", Place(PageKey.QUOTES, "quote", row.id)


def _contract(row: m.Contract) -> tuple[str, str, Place]:
    return f"{row.title}, {row.firm.name}", "contract", Place(PageKey.MONEY, "contract", row.id)


def _in_contract(word: str, name: str) -> _Describe:
    def describe(row: Any) -> tuple[str, str, Place]:
        return f"{row.contract.title}, {word} {getattr(row, name)}", word, _money(row.contract_id)

    return describe


def _money(contract_id: int | None) -> Place:
    return Place(PageKey.MONEY, "contract", contract_id)


def _permit(row: m.Permit) -> tuple[str, str, Place]:
    return row.title, "permit", Place(PageKey.PERMITS, "permit", row.id)


def _inspection(row: m.Inspection) -> tuple[str, str, Place]:
    return f"{row.title}, {row.permit.title}", "inspection", Place(PageKey.PERMITS, "inspection", row.id)


def _correction(row: m.Correction) -> tuple[str, str, Place]:
    return row.text, "correction", Place(PageKey.PERMITS, "inspection", row.inspection_id)


def _need(row: m.HoldNeed) -> tuple[str, str, Place]:
    place = Place(PageKey.MEASURES, "measure", row.hold.measure_id)
    return f"{row.hold.what}: {row.text}", "what a hold waits for", place


def _firm(row: m.Firm) -> tuple[str, str, Place]:
    return row.name, "firm", Place(PageKey.QUOTES, "firm", row.id)


def _invoice(row: m.Invoice) -> tuple[str, str, Place]:
    return f"{row.firm.name} {row.number}", "invoice", _money(row.contract_id)


def _payment(row: m.Payment) -> tuple[str, str, Place]:
    return f"payment of {day_text(row.on)}", "payment", _money(row.contract_id)


def _bill(row: m.Bill) -> tuple[str, str, Place]:
    place = Place(PageKey.HOUSE, "meter", row.meter_id)
    return f"{row.meter.name}, {month_text(row.period_end)}", "bill", place


def _titled(word: str, page: PageKey, name: str) -> _Describe:
    return lambda row: (str(getattr(row, name)), word, Place(page, word, row.id))


_TABLE: dict[PaperSubject, tuple[type, _Describe]] = {
    PaperSubject.MEASURE: (m.Measure, _measure),
    PaperSubject.WORK_ENTRY: (m.WorkEntry, _entry),
    PaperSubject.INSTALLED_ITEM: (m.InstalledItem, _item),
    PaperSubject.TEST: (m.CommissioningTest, _test),
    PaperSubject.EQUIPMENT: (m.Equipment, _titled("equipment", PageKey.HOUSE, "name")),
    PaperSubject.ROOM: (m.Room, _room),
    PaperSubject.SURFACE: (m.Surface, _surface),
    PaperSubject.OPENING: (m.Opening, _opening),
    PaperSubject.QUOTE: (m.Quote, _quote),
    PaperSubject.CONTRACT: (m.Contract, _contract),
    PaperSubject.CHANGE_ORDER: (m.ChangeOrder, _in_contract("change order", "number")),
    PaperSubject.STAGE: (m.StagedPayment, _in_contract("stage", "title")),
    PaperSubject.INVOICE: (m.Invoice, _invoice),
    PaperSubject.PAYMENT: (m.Payment, _payment),
    PaperSubject.LIEN_WAIVER: (m.LienWaiver, _in_contract("lien waiver", "kind")),
    PaperSubject.LOAN: (m.Loan, _titled("loan", PageKey.MONEY, "name")),
    PaperSubject.PERMIT: (m.Permit, _permit),
    PaperSubject.INSPECTION: (m.Inspection, _inspection),
    PaperSubject.CORRECTION: (m.Correction, _correction),
    PaperSubject.HOLD_NEED: (m.HoldNeed, _need),
    PaperSubject.PROGRAMME: (m.ProgrammeChoice, _titled("programme", PageKey.MONEY, "programme_key")),
    PaperSubject.CLAIM: (m.Claim, _titled("claim", PageKey.MONEY, "id")),
    PaperSubject.FIRM: (m.Firm, _firm),
    PaperSubject.BILL: (m.Bill, _bill),
    PaperSubject.METER: (m.Meter, _titled("meter", PageKey.HOUSE, "name")),
    PaperSubject.LEAKAGE_TEST: (m.LeakageTest, _titled("leakage test", PageKey.HOUSE, "tested_on")),
    PaperSubject.TASK: (m.Task, _titled("task", PageKey.MEASURES, "title")),
    PaperSubject.SITE: (m.Site, lambda row: (row.name, "house", Place(PageKey.HOUSE))),
}


def named(session: Session, subject: PaperSubject, subject_id: int) -> Found | None:
    """What the thing is called and where it is dealt with; None when it is no longer recorded."""
    model, describe = _TABLE[subject]
    row = session.get(model, subject_id)
    return None if row is None else Found(*describe(row))


def found(row: m.Base) -> Found:
    """The same for a row at hand. Raises `KeyError` for a kind of row that no page shows by itself."""
    for model, describe in _TABLE.values():
        if type(row) is model:
            return Found(*describe(row))
    raise KeyError(type(row).__name__)

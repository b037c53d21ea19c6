"""Measures as a packet tells them: what was meant, fitted, set, tested, and what is open."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.paperwork.contents import InstalledLine, MeasurePart, SettingLine, TestLine
from retrofit_desk.records import models as m
from retrofit_desk.rules.quotes import ScopeAnswer
from retrofit_desk.rules.states import MeasureState
from retrofit_desk.services.measures import cost_of
from retrofit_desk.services.site_tests import found_text, limits_text
from retrofit_desk.values.quantity import Units
from retrofit_desk.values.stated import Stated, StatedValue

MOST_PHOTOS = 12
_STATES = {
    MeasureState.TOO_SOON: "signed off; too soon for the bills to say",
    MeasureState.NOT_BORNE_OUT: "signed off; the bills do not show it",
    MeasureState.PROVEN: "signed off, and proven by the bills",
}


def measure_part(session: Session, measure: m.Measure, photos: tuple[str, ...], units: Units) -> MeasurePart:
    """Drafts of write-ups count for nothing."""
    entries = [entry for entry in measure.entries if not entry.is_draft]
    firms = firms_of(session, measure)
    changes = [entry.change_from_plan for entry in entries if entry.change_from_plan]
    return MeasurePart(
        title=measure.title,
        state=_STATES.get(measure.state, str(measure.state)),
        where=", ".join(dict.fromkeys(place.room.name for place in measure.places if place.room)),
        scope=_scope(session, measure),
        done_by=_done_by(measure, firms),
        license=_license(measure, firms),
        installed_on=measure.placed_in_service_on,
        cost_cents=cost_of(session, measure)[0],
        items=tuple(installed_line(item) for entry in entries for item in entry.items),
        settings=tuple(
            SettingLine(one.name, f"{one.value} {one.unit}".strip())
            for entry in entries
            for one in entry.settings
        ),
        tests=tuple(_test(test, units) for entry in entries for test in entry.tests),
        change_from_plan=" ".join(changes),
        still_open=_still_open(measure, entries),
        photos=_photos(photos),
    )


def firms_of(session: Session, measure: m.Measure) -> tuple[m.Firm, ...]:
    """Firms with a signed contract for the measure, then those who wrote up work on it; each once."""
    shares = session.scalars(select(m.ContractShare).where(m.ContractShare.measure_id == measure.id))
    firms = [share.contract.firm for share in shares if share.contract.signed_on is not None]
    worked = [session.get(m.Firm, entry.firm_id) for entry in measure.entries if entry.firm_id]
    firms += [firm for firm in worked if firm is not None]
    return tuple(dict.fromkeys(firms))


def is_serialed(item: m.InstalledItem) -> bool:
    """A machine carries a serial number; what comes by the meter, the bag or the board has none."""
    return not item.unit


def installed_line(item: m.InstalledItem) -> InstalledLine:
    serial: StatedValue[str] = StatedValue(None, Stated.NOT_STATED)
    if item.serial:
        serial = StatedValue(item.serial)
    elif not is_serialed(item):
        serial = StatedValue(None, Stated.EXCLUDED)
    amount = "" if item.quantity is None else f"{item.quantity:,g} {item.unit}".strip()
    return InstalledLine(item.product, item.make, item.model, serial, amount)


def _scope(session: Session, measure: m.Measure) -> str:
    """What the accepted quote includes, else what was asked for, else why it is done."""
    requests = session.scalars(select(m.QuoteRequest).where(m.QuoteRequest.measure_id == measure.id)).all()
    for request in requests:
        accepted = [quote for quote in request.quotes if quote.state is m.QuoteState.ACCEPTED]
        if accepted:
            included = [line.text for line in accepted[0].lines if line.answer is not ScopeAnswer.EXCLUDED]
            return "; ".join(included)
    asked = [item.text for request in requests for item in request.scope]
    return "; ".join(asked) or measure.why


def _done_by(measure: m.Measure, firms: tuple[m.Firm, ...]) -> str:
    names = [firm.legal_name or firm.name for firm in firms]
    return "; ".join((["owner's own work"] if measure.own_work else []) + names)


def _license(measure: m.Measure, firms: tuple[m.Firm, ...]) -> StatedValue[str] | None:
    """Of each firm the license that runs longest; None where no firm is at work."""
    if not firms:
        return None
    told = []
    for firm in firms:
        held = [one for one in firm.licenses if one.number]
        if held:
            newest = max(held, key=lambda one: one.ends_on.toordinal() if one.ends_on else 0)
            told.append(" ".join(part for part in (newest.state, newest.number) if part))
    return StatedValue("; ".join(told)) if told else StatedValue(None, Stated.NOT_STATED)


def _test(test: m.CommissioningTest, units: Units) -> TestLine:
    done_on = test.ended_at.date() if test.ended_at else test.entry.worked_on
    return TestLine(
        test.quantity,
        found_text(test, units),
        limits_text(test, units),
        done_on,
        test.witness,
        test.passed,
        test.limit_source,
    )


def _still_open(measure: m.Measure, entries: list[m.WorkEntry]) -> tuple[str, ...]:
    """What the last write-up left open; nothing of it counts any more once the measure is signed off."""
    if measure.state in (MeasureState.SIGNED_OFF, MeasureState.PROVEN) or not entries:
        return ()
    return tuple(part.strip() for part in entries[-1].still_open.split("\n") if part.strip())


def _photos(titles: tuple[str, ...]) -> tuple[str, ...]:
    if len(titles) <= MOST_PHOTOS:
        return titles
    return (*titles[:MOST_PHOTOS], f"{len(titles) - MOST_PHOTOS} more")

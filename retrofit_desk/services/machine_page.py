"""One machine on one page: what it is, who put it in, warranty, settings, tests, services, where it lies."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.exchange.text_page import write_text_page
from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperSubject
from retrofit_desk.records.project import Project
from retrofit_desk.services.equipment_entry import SETTINGS
from retrofit_desk.services.machine_trend import MachineTrendService
from retrofit_desk.services.site_tests import found_text, limits_text
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.quantity import Dimension, Units, show

CAUTION = "Only qualified people open electrical, gas and refrigerant parts. Local code decides."


class MachineGone(DeskError):
    """A machine is asked for that is no longer recorded."""


@dataclass(frozen=True)
class MachinePage:
    """A title and headed lines, in the order of a service call."""

    title: str
    parts: tuple[tuple[str, tuple[str, ...]], ...]

    def part(self, heading: str) -> tuple[str, ...]:
        return next(lines for head, lines in self.parts if head == heading)


class MachinePageService:
    """Gathers what a service call or a warranty claim asks for; reads only."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def machines(self) -> tuple[tuple[int, str], ...]:
        """Every machine, (id, name), those removed last."""
        with self._project.session() as session:
            rows = session.scalars(select(m.Equipment).order_by(m.Equipment.removed_on, m.Equipment.id))
            return tuple((row.id, row.name) for row in rows)

    def page(self, equipment_id: int, units: Units = Units.US) -> MachinePage:
        """Raises `MachineGone`."""
        with self._project.session() as session:
            row = session.get(m.Equipment, equipment_id)
            if row is None:
                raise MachineGone("this machine is no longer recorded", do="choose another one")
            entries = _entries(session, row)
            parts = (
                ("The machine", _plate(session, row)),
                ("Put in by", _installers(session, row, entries)),
                ("Warranty", tuple(_warranty(one) for one in row.warranties)),
                ("Settings", _settings(row, entries)),
                ("Tests on site", _tests(row, entries, units)),
                ("Logs of its controller", _logs(self._project, row.id, units)),
                ("Services", tuple(f"{day_text(s.done_on)}, {s.by}: {s.what}" for s in row.services)),
                ("Where it lies in the ground", _ties(session, row, units)),
                ("Papers", _papers(session, row)),
                ("Notes", tuple(part for part in (row.notes, CAUTION) if part)),
            )
            return MachinePage(row.name, tuple((head, lines) for head, lines in parts if lines))

    def write(self, equipment_id: int, path: Path, units: Units = Units.US) -> Path:
        """The page as PDF."""
        page = self.page(equipment_id, units)
        return write_text_page(page.title, page.parts, path)


def _entries(session: Session, row: m.Equipment) -> list[m.WorkEntry]:
    """Write-ups that name its serial, and those of the measure that brought it."""
    named = select(m.WorkEntry).join(m.InstalledItem).where(m.InstalledItem.serial == row.serial)
    found = list(session.scalars(named)) if row.serial else []
    if row.measure_id is not None:
        found += session.scalars(select(m.WorkEntry).where(m.WorkEntry.measure_id == row.measure_id))
    kept = dict.fromkeys(entry for entry in found if not entry.is_draft)
    return sorted(kept, key=lambda entry: (entry.worked_on, entry.id))


def _plate(session: Session, row: m.Equipment) -> tuple[str, ...]:
    room = session.get(m.Room, row.room_id) if row.room_id else None
    pairs = (
        ("Make and model", " ".join(part for part in (row.make, row.model, row.second_model) if part)),
        ("Serial", ", ".join(part for part in (row.serial, row.second_serial) if part)),
        ("Stands in", room.name if room else ""),
        ("Status", str(row.status)),
        ("Installed", day_text(row.installed_on) if row.installed_on else ""),
        ("Tested and running since", day_text(row.tested_on) if row.tested_on else ""),
        ("Refrigerant", row.refrigerant),
    )
    return tuple(f"{name}: {words}" for name, words in pairs if words)


def _installers(session: Session, row: m.Equipment, entries: list[m.WorkEntry]) -> tuple[str, ...]:
    ids = [row.installed_by_firm_id, *(entry.firm_id for entry in entries)]
    firms = [session.get(m.Firm, one) for one in dict.fromkeys(ids) if one is not None]
    return tuple(_firm(firm) for firm in firms if firm is not None)


def _firm(firm: m.Firm) -> str:
    licenses = ", ".join(f"license {one.number} ({one.trade})" for one in firm.licenses)
    return ", ".join(part for part in (firm.name, firm.phone, licenses) if part)


def _warranty(row: m.Warranty) -> str:
    until = f"until {day_text(row.ends_on)}" if row.ends_on else "end not stated"
    if row.registered_on is not None:
        proof = f"registered {day_text(row.registered_on)} {row.registration_number}".strip()
    elif row.register_by is not None:
        proof = f"not registered, to be done by {day_text(row.register_by)}"
    else:
        proof = "no registration asked for on record"
    return f"{row.kind}: {until}; {proof}"


def _settings(row: m.Equipment, entries: list[m.WorkEntry]) -> tuple[str, ...]:
    """The latest value of each setting written up, then those kept with the machine."""
    latest: dict[str, str] = {}
    for entry in entries:
        for one in entry.settings:
            if one.equipment_id in (None, row.id):
                latest[one.name] = f"{one.name}: {one.value} ({day_text(entry.worked_on)})"
    plate = row.details.get(SETTINGS, {})
    return (*latest.values(), *(f"{name}: {value}" for name, value in plate.items() if name not in latest))


def _tests(row: m.Equipment, entries: list[m.WorkEntry], units: Units) -> tuple[str, ...]:
    lines = []
    for entry in entries:
        for test in entry.tests:
            if test.equipment_id in (None, row.id):
                word = "incomplete" if test.passed is None else "passed" if test.passed else "failed"
                limits = limits_text(test, units)
                about = f"{test.quantity} {found_text(test, units)}, {word}"
                lines.append(f"{day_text(entry.worked_on)}: {about}{f' ({limits})' if limits else ''}")
    return tuple(lines)


def _logs(project: Project, machine_id: int, units: Units) -> tuple[str, ...]:
    """Each filed log with what it says against the limits."""
    lines: list[str] = []
    for one in MachineTrendService(project).filed(machine_id, units):
        lines.append(one.sheet.line)
        lines += [f"{point.title}: {point.words}" for point in one.sheet.points]
    return tuple(lines)


def _ties(session: Session, row: m.Equipment, units: Units) -> tuple[str, ...]:
    """Distances from two fixed points, and what the machine's own facts say of it."""
    lines = []
    for tie in session.scalars(select(m.TiePoint).where(m.TiePoint.equipment_id == row.id)):
        ways = [
            f"{show(distance, Dimension.LENGTH, units)} from {point}"
            for point, distance in (
                (tie.first_point, tie.first_distance_m),
                (tie.second_point, tie.second_distance_m),
            )
            if distance is not None
        ]
        if tie.latitude_deg is not None and tie.longitude_deg is not None:
            ways.append(f"{tie.latitude_deg:.5f}, {tie.longitude_deg:.5f}")
        lines.append(f"{tie.name}: {'; '.join(ways)}")
    if lines or row.kind is m.EquipmentKind.BORE_FIELD:
        lines.append("Call the utility locating service (811) before anyone digs.")
    return tuple(lines)


def _papers(session: Session, row: m.Equipment) -> tuple[str, ...]:
    subjects = [m.PaperUse.subject == PaperSubject.EQUIPMENT, m.PaperUse.subject_id == row.id]
    query = select(m.Paper).join(m.PaperUse).where(*subjects).order_by(m.Paper.on_paper)
    found = list(session.scalars(query))
    if row.measure_id is not None:
        bills = select(m.Invoice.paper_id).where(m.Invoice.measure_id == row.measure_id)
        found += session.scalars(select(m.Paper).where(m.Paper.id.in_(bills)))
    return tuple(
        dict.fromkeys(f"{p.title}, {day_text(p.on_paper)}" if p.on_paper else p.title for p in found)
    )

"""What to know before a measure is bought: the sizes it must have, held against what is recorded of it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from retrofit_desk.estimate.case import HouseCase
from retrofit_desk.estimate.line_up import Chosen, LineUp, NotTogether
from retrofit_desk.estimate.measures import kinds
from retrofit_desk.estimate.scenario import simulator_for
from retrofit_desk.estimate.sizing import Basis, Size, Verdict, has_sizes, sizes
from retrofit_desk.exchange.text_page import write_text_page
from retrofit_desk.physics.plant_cautions import cautions, combustion_cautions
from retrofit_desk.physics.plant_results import PlantYear
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.worth import Ask, Progress, WorthService, chosen_of
from retrofit_desk.values.errors import CannotSay, DeskError
from retrofit_desk.values.quantity import Dimension, Units, show, show_about

__all__ = ["BY", "NotOneMeasure", "SizeLine", "SizingService", "SizingSheet", "Verdict"]

WHOLE_HOUSE = "The whole house"
BY = "Worked out by"
DEFERS = (
    "A model's numbers to ask by, not a design: where your code asks for a load calculation or an engineer, "
    "theirs rules."
)


class NotOneMeasure(DeskError):
    """A title that no measure with sizes begins with, or several do."""


@dataclass(frozen=True)
class SizeLine:
    """One size in words and as it was worked out. `needed` and `has` are empty where there is none."""

    about: str
    subject: str
    needed: str
    has: str
    verdict: Verdict
    says: str
    rule: str
    size: Size

    def numbers(self) -> str:
        """Both numbers and how they stand, or the one there is."""
        if self.verdict is Verdict.CHANGED:
            return f"{self.needed} before, {self.has} after"
        if self.verdict is Verdict.COMPARED:
            return f"{self.needed} by hand, {self.has} by the hourly model"
        if self.verdict in (Verdict.WITHIN, Verdict.BEYOND):
            return f"{self.has}, at most {self.needed}: {self.verdict}"
        if self.needed and self.has:
            return f"{self.needed} needed, it has {self.has}: {self.verdict}"
        return self.needed or str(self.verdict)

    def words(self) -> str:
        """What it is, how it stands and what that means, in one line."""
        return f"{self.subject}: {self.numbers()}. {self.says}".rstrip()


@dataclass(frozen=True)
class SizingSheet:
    """All sizes of one measure, the design day they stand on, and the cautions of the house with it."""

    measure_id: int
    title: str
    design_day: str
    lines: tuple[SizeLine, ...]
    cautions: tuple[str, ...]

    def parts(self) -> tuple[tuple[str, tuple[SizeLine, ...]], ...]:
        """The lines under the room or face that they are about, in their order."""
        found: dict[str, list[SizeLine]] = {}
        for line in self.lines:
            found.setdefault(line.about or WHOLE_HOUSE, []).append(line)
        return tuple((name, tuple(lines)) for name, lines in found.items())

    def rules(self) -> tuple[tuple[str, str], ...]:
        """Each rule once, with the lines that rest on it."""
        found: dict[str, dict[str, None]] = {}
        for line in self.lines:
            found.setdefault(line.rule, {})[line.subject] = None
        return tuple((f"{rule[:1].upper()}{rule[1:]}.", "; ".join(of)) for rule, of in found.items())


class SizingService:
    """Works sizes out from the recorded house; keeps nothing."""

    def __init__(self, project: Project) -> None:
        self._project = project
        self._worth = WorthService(project)

    def can_size(self, measure_id: int) -> bool:
        """Whether this measure is of a kind that has sizes."""
        with self._project.session() as session:
            measure = session.get(m.Measure, measure_id)
            kind = kinds().get(measure.kind) if measure is not None else None
            return kind is not None and has_sizes(kind.key, kind.inputs)

    def named(self, title: str) -> int:
        """The one measure with sizes whose title begins so. Raises `NotOneMeasure`."""
        with self._project.session() as session:
            rows = [(row.id, row.title) for row in session.scalars(select(m.Measure).order_by(m.Measure.id))]
        sized = [(row_id, name) for row_id, name in rows if self.can_size(row_id)]
        found = [row_id for row_id, name in sized if name.casefold().startswith(title.casefold())]
        if len(found) != 1:
            raise NotOneMeasure(
                f"'{title}' names {len(found) or 'no'} measure{'s' if len(found) > 1 else ''} with sizes",
                do="name one of: " + "; ".join(name for _, name in sized),
            )
        return found[0]

    def sheet(self, measure_id: int, units: Units, progress: Progress | None = None) -> SizingSheet:
        """Size one measure. `progress` may raise to stop.

        Raises `CannotSay` and `FactsMissing` for what is not recorded, `NotTogether` where it cannot stand.
        """
        report = progress or (lambda share, doing: None)
        report(0.0, "reading the house")
        ask = self._worth.asked()
        with self._project.session() as session:
            measure = session.get_one(m.Measure, measure_id)
            chosen = chosen_of(measure)
            names = _names(session)
            basis = _basis(session, ask, chosen)
        report(0.2, "the design day of the house, with the measures before it and with all of them")
        lines = tuple(_line(size, names, units) for size in sizes(chosen.kind.key, chosen.inputs, basis))
        report(1.0, "done")
        day = f"Design day: {show(basis.heating_c, Dimension.TEMPERATURE, units)} outside."
        return SizingSheet(measure_id, chosen.title, day, lines, _cautions(basis))

    @staticmethod
    def write(sheet: SizingSheet, path: Path) -> Path:
        """The sheet as a page for the printer, to take to the table where firms are asked."""
        parts = [(name, [line.words() for line in lines]) for name, lines in sheet.parts()]
        head = (sheet.design_day, ())
        rules = [f"{rule} {of}." for rule, of in sheet.rules()]
        last = (("Take care", sheet.cautions), (BY, rules))
        return write_text_page(f"Before you buy: {sheet.title}", (head, *parts, *last), path)


def _basis(session: Session, ask: Ask, chosen: Chosen) -> Basis:
    """The house before the measure, with it, and with all; a measure outside the line-up comes last."""
    site = session.scalar(select(m.Site))
    if site is None or site.design_heating_c is None:
        raise CannotSay("the sizes", "the design temperature of the place")
    members = _beside(ask.chosen, chosen)
    at = next(bit for bit, one in enumerate(members) if one.key == chosen.key)
    simulator = simulator_for(ask.weather)
    line_up = LineUp(ask.belief.house(ask.described), members, simulator, ask.terms)
    ahead, after = _in_its_place(line_up, at)
    rooms = session.scalars(select(m.Room).where(m.Room.is_heated)).all()

    def plant_year(case: HouseCase) -> PlantYear:
        from retrofit_desk.physics.plant import run_plant

        return run_plant(case.plant, case.use, simulator.loads(case), ask.weather, case.house.site)

    return Basis(
        found=line_up.base,
        ahead=ahead,
        after=after,
        whole=line_up.case(line_up.whole) or after,
        weather=ask.weather,
        loads=simulator.loads,
        plant_year=plant_year,
        terms=ask.terms,
        heating_c=site.design_heating_c,
        heated_area_m2=sum(room.floor_area_m2 for room in rooms),
        bedrooms=sum(room.kind is m.RoomKind.BEDROOM for room in rooms),
        panel_a=_panel_a(session),
    )


def _beside(line_up: tuple[Chosen, ...], chosen: Chosen) -> tuple[Chosen, ...]:
    """The line-up with the measure in it; one outside it stands in the place of what it excludes."""
    if any(one.key == chosen.key for one in line_up):
        return line_up
    out = [
        at
        for at, one in enumerate(line_up)
        if one.kind.key in chosen.kind.excludes or chosen.kind.key in one.kind.excludes
    ]
    place = out[0] if out else len(line_up)
    members = [
        *line_up[:place],
        chosen,
        *(one for at, one in enumerate(line_up) if at >= place and at not in out),
    ]
    while True:
        there = {one.kind.key for one in members}
        kept = [one for one in members if one is chosen or all(there & group for group in one.kind.needs)]
        if len(kept) == len(members):
            return tuple(members)
        members = kept


def _in_its_place(line_up: LineUp, at: int) -> tuple[HouseCase, HouseCase]:
    """The house without and with the measure: where the line-up has it, else with just what it needs."""
    before = (1 << at) - 1
    ahead, after = line_up.case(before), line_up.case(before | 1 << at)
    if ahead is None or after is None:
        without, with_it = line_up.smallest_with(at)
        ahead, after = line_up.case(without), line_up.case(with_it)
    if ahead is None or after is None:
        raise NotTogether(
            "it cannot stand with the measures before it",
            where=line_up.chosen[at].title,
            do="look at the line-up",
        )
    return ahead, after


def _cautions(basis: Basis) -> tuple[str, ...]:
    """What burns in the house, always; and what the measure brings with it."""
    known = cautions(basis.ahead.plant)
    new = (one for one in cautions(basis.after.plant) if one not in known)
    return tuple(dict.fromkeys((*combustion_cautions(basis.after.plant), *new, DEFERS)))


def _panel_a(session: Session) -> tuple[float, float] | None:
    """Main and bus of the panel that nothing feeds."""
    panel = session.scalar(select(m.Panel).where(m.Panel.fed_from_id.is_(None)).order_by(m.Panel.id))
    return None if panel is None or panel.bus_a is None else (panel.main_a, panel.bus_a)


def _names(session: Session) -> dict[str, str]:
    """What the described house's zones, surfaces and windows are called by the owner."""
    found: dict[str, str] = {}
    for room in session.scalars(select(m.Room)):
        found[room.key] = room.name
        for surface in room.surfaces:
            found[surface.key] = f"{room.name}, {surface.name}"
            found |= {opening.key: f"{room.name}, {opening.name}" for opening in surface.openings}
    return found


def _line(size: Size, names: dict[str, str], units: Units) -> SizeLine:
    return SizeLine(
        about=names.get(size.about, size.about),
        subject=size.subject,
        needed=_amount(size.needed, size.dimension, units),
        has=_amount(size.has, size.dimension, units),
        verdict=size.verdict,
        says=size.says,
        rule=size.rule,
        size=size,
    )


def _amount(value_si: float | None, dimension: Dimension, units: Units) -> str:
    if value_si is None:
        return ""
    if dimension is Dimension.TIME:
        return show(value_si, dimension, units, decimals=1)
    return show_about(value_si, dimension, units)


def sizing_lines(sheet: SizingSheet) -> tuple[str, ...]:
    """The sheet for the command line."""
    found = [f"Before you buy: {sheet.title}", sheet.design_day]
    for name, lines in sheet.parts():
        found += ["", name, *(f"  {line.words()}" for line in lines)]
    found += ["", "Take care", *(f"  {caution}" for caution in sheet.cautions)]
    found += ["", BY, *(f"  {rule} {of}." for rule, of in sheet.rules())]
    return tuple(found)


def sizing_data(sheet: SizingSheet) -> dict[str, Any]:
    """The sheet with stable keys; values in the SI unit of their dimension."""
    return {
        "measure": sheet.title,
        "sizes": [
            {
                "about": line.about,
                "subject": line.subject,
                "dimension": str(line.size.dimension),
                "needed_si": line.size.needed,
                "has_si": line.size.has,
                "verdict": str(line.verdict),
                "says": line.says,
                "rule": line.rule,
            }
            for line in sheet.lines
        ],
        "cautions": list(sheet.cautions),
    }

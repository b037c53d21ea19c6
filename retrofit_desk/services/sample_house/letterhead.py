"""What all sample papers share: who writes, to whom, and the facts to be read off them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.rules.matching import FactKind
from retrofit_desk.services.sample_house.printing import Sheet
from retrofit_desk.services.sample_house.story import Story

Fact = tuple[FactKind, str, str]
Use = tuple[PaperSubject, int]
Uses = tuple[Use, ...]


@dataclass(frozen=True)
class Drawn:
    """A paper to be drawn: what is printed, the facts to be read off it, and what it is used for."""

    kind: PaperKind
    title: str
    name: str
    sheet: Sheet
    facts: tuple[Fact, ...]
    uses: Uses
    firm_id: int | None = None
    ends_on: date | None = None


class Letterhead:
    """The owner, the house and the firms of one story."""

    def __init__(self, story: Story) -> None:
        self.story = story
        site, owner = story.rows(m.Site)[0], story.rows(m.Owner)[0]
        self.owner: str = owner.legal_name
        self.address = f"{site.street}, {site.city}, {site.state} {site.postal_code}"

    def firm(self, firm_id: int | None) -> tuple[str, ...]:
        firm = self.story.row(m.Firm, firm_id)
        if firm is None:
            return ("",)
        return tuple(part for part in (firm.legal_name or firm.name, firm.address, firm.phone) if part)

    def head(self, *more: tuple[str, str]) -> tuple[tuple[str, str], ...]:
        return (("For", self.owner), ("Address", self.address), *more)

    def facts(self, firm_id: int | None, *more: Fact) -> tuple[Fact, ...]:
        facts: list[Fact] = [(FactKind.NAME, "owner", self.owner), (FactKind.ADDRESS, "", self.address)]
        if firm_id is not None:
            facts.append((FactKind.FIRM, "", self.firm(firm_id)[0]))
        return (*facts, *(fact for fact in more if fact[2]))

    def machines(self, measure_id: int | None) -> list[m.Equipment]:
        return [row for row in self.story.rows(m.Equipment) if row.measure_id == measure_id and row.serial]

    def measures_of_permit(self, permit_id: int) -> Uses:
        links = [link for link in self.story.rows(m.PermitMeasure) if link.permit_id == permit_id]
        return tuple((PaperSubject.MEASURE, link.measure_id) for link in links)


def money(cents: int | None) -> str:
    """`1,234.50`; nothing for no amount."""
    return "" if cents is None else f"{cents / 100:,.2f}".replace("-", "− ")

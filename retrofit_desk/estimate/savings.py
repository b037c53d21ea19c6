"""What a savings sum tells: the house before and after, each measure, and what it rests on."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime

from retrofit_desk.carbon.biogenic import BiogenicStore
from retrofit_desk.carbon.grid import GridPath
from retrofit_desk.estimate.scenario import MonthlyUse
from retrofit_desk.physics.plant_machines import Fuel
from retrofit_desk.values.figure import Figure
from retrofit_desk.values.stated import StatedTotal, StatedValue
from retrofit_desk.values.units import Dimension, fuel_dimension


@dataclass(frozen=True)
class SourceLine:
    """One thing the sum rests on: where it comes from and from when."""

    subject: str
    source: str
    as_of: date | None


@dataclass(frozen=True)
class FuelBills:
    """Twelve bills of one account and the tariff they follow. Closed: no bill at all."""

    fuel: Fuel
    month_cents: tuple[int, ...]
    total_cents: int
    tariff: SourceLine
    is_closed: bool


@dataclass(frozen=True)
class YearSummary:
    """One house over the typical year."""

    uses: tuple[MonthlyUse, ...]
    bills: tuple[FuelBills, ...]
    drawn_kwh: float
    fed_in_kwh: float
    solar_kwh: float
    peak_drawn_w: float
    carbon_kg: float
    unmet_kwh: float
    seasonal_cop: tuple[tuple[str, float], ...]
    fuel_carbon_kg: float = 0.0
    """The part of `carbon_kg` that is burned in the house; the rest follows the grid."""
    own_cents_saved: float = 0.0
    """Beside the bills, by the owner's own figures."""

    @property
    def total_cents(self) -> int:
        return sum(bill.total_cents for bill in self.bills) - round(self.own_cents_saved)

    def fuel_kwh(self) -> float:
        """All that is burned."""
        return sum(use.year_kwh for use in self.uses if use.fuel != "electricity")

    def months_kwh(self, *, burned: bool) -> tuple[float, ...]:
        """Twelve months of what is burned, or of electricity used in the house."""
        chosen = [use for use in self.uses if (use.fuel != "electricity") is burned]
        return tuple(sum(use.kwh[month] for use in chosen) for month in range(12))


@dataclass(frozen=True)
class Gain:
    """What a measure changes in a year: less fuel, more electricity drawn, money and carbon saved."""

    fuel_removed_kwh: float
    electricity_added_kwh: float
    fed_in_kwh: float
    money_saved_cents: float
    carbon_saved_kg: float
    fuel_money_saved_cents: float = 0.0
    """The part of the money that is saved on what is burned; the rest is electricity."""


@dataclass(frozen=True)
class MaterialEnd:
    """Stage C of materials (C2-C4 by the table, without C1), CO2 equivalent; what is unknown is named.

    `given_back_kg`: biogenic CO2 that leaves again, as EN 15804 balances it; apart, never in the other sums.
    """

    kg: float
    low_kg: float
    high_kg: float
    unknown: tuple[str, ...]
    given_back_kg: float
    sources: tuple[str, ...]
    """Of what is told; empty where the end of no material is."""

    @property
    def is_told(self) -> bool:
        return bool(self.sources)


@dataclass(frozen=True)
class MaterialCarbon:
    """Carbon put in by making a measure (A1-A3), with its factors' spread; what is unknown is named."""

    made_kg: float
    low_kg: float
    high_kg: float
    unknown: tuple[str, ...]
    sources: tuple[str, ...]
    stored_kg: float
    """Biogenic carbon while it stands: its own line, never taken off."""
    hauled_kg: float = 0.0
    """A4, by a usual haul."""
    wasted_kg: float = 0.0
    """A5, what is bought and cut away."""
    end: MaterialEnd | None = None
    """None: nothing that is told is put in."""

    @property
    def store(self) -> BiogenicStore:
        """What grew in it: taken up, and given back where the end of all of it is told."""
        given_back = 0.0 if self.end is None else self.end.given_back_kg
        is_told = given_back >= self.stored_kg - 1e-9
        return BiogenicStore(self.stored_kg, given_back if is_told else None)

    @property
    def upfront_kg(self) -> float:
        """A1 to A5."""
        return self.made_kg + self.hauled_kg + self.wasted_kg


@dataclass(frozen=True)
class RefrigerantCarbon:
    """What escapes over the machine's life. None in the sum: unknown charge or designation."""

    refrigerant: str
    charge_kg: float
    gwp: float
    escaped_kg_co2e: float
    installing_kg_co2e: float
    source: str
    in_use_kg_co2e: float = 0.0
    at_end_kg_co2e: float = 0.0
    life_years: float = 0.0


@dataclass(frozen=True)
class SavingsLine:
    """One measure in its place in the line-up. `payback` is None where it never comes or is not known."""

    key: str
    title: str
    kind: str
    fuel_removed: Figure
    electricity_added: Figure
    money_saved: Figure
    carbon_saved: Figure
    in_its_place: Gain
    alone: Gain | None
    fair_part: Gain | None
    fuel_months_kwh: tuple[float, ...]
    electricity_months_kwh: tuple[float, ...]
    end_uses: tuple[tuple[Fuel, str, float], ...]
    """Change by fuel and end use, kWh a year."""
    cost_cents: StatedValue[int]
    avoided_cents: StatedValue[int]
    rebates_cents: int
    payback: Figure | None
    payback_words: str
    material: MaterialCarbon
    refrigerant: RefrigerantCarbon | None
    carbon_payback_years: float | None
    needs: tuple[str, ...] = ()
    """Keys of the measures that must be done for it to be possible."""
    beside: tuple[str, ...] = ()
    """In sentences, what it does that no bill of the house shows."""
    last: Gain | None = None
    """Its gain as the last of all; None where it cannot be the last of any order."""
    last_without: tuple[str, ...] = ()
    """Titles of the measures that cannot stand without it and are left out of `last`."""
    excludes: tuple[str, ...] = ()
    """Kinds of measures that it cannot stand beside, in words."""
    refrigerant_is_unknown: bool = False
    """A machine with refrigerant whose charge or kind is not stated."""
    fair_part_error_cents: float | None = None
    """Standard error of the fair part's money where its orders were drawn; None: all orders were counted."""


@dataclass(frozen=True)
class RoomYear:
    """How one room feels over the waking hours of a year; hours too cold or too warm for most people."""

    room: str
    too_cold_hours: int
    too_warm_hours: int
    lowest_c: float
    highest_c: float
    coldest_face: str
    coldest_face_c: float | None
    floor_low_c: float | None = None
    floor_high_c: float | None = None
    """The coolest and the warmest its floors become; none where no floor is described on its side."""


@dataclass(frozen=True)
class RoomChange:
    """One room before and after."""

    before: RoomYear
    after: RoomYear


@dataclass(frozen=True)
class Comfort:
    """What the measures do to the rooms, and by which assumptions."""

    rooms: tuple[RoomChange, ...]
    waking_hours: int
    assumptions: str

    @property
    def coldest(self) -> RoomChange:
        """The room with most hours too cold before."""
        return max(self.rooms, key=lambda one: (one.before.too_cold_hours, -one.before.lowest_c))

    @property
    def most_changed(self) -> RoomChange:
        """The room that loses most hours too cold."""
        return max(self.rooms, key=lambda one: one.before.too_cold_hours - one.after.too_cold_hours)

    @property
    def coldest_after(self) -> RoomChange:
        """The room with most hours too cold in the end: a low thermostat may be its reason."""
        return max(self.rooms, key=lambda one: one.after.too_cold_hours)

    @property
    def hottest(self) -> RoomChange:
        """The room with most hours too warm before."""
        return max(self.rooms, key=lambda one: (one.before.too_warm_hours, one.before.highest_c))

    @property
    def coolest_floor(self) -> RoomChange | None:
        """The room whose floor becomes coolest in the end; none where no floor is described."""
        told = [(one.after.floor_low_c, one) for one in self.rooms if one.after.floor_low_c is not None]
        return min(told, key=lambda pair: pair[0])[1] if told else None

    @property
    def warmest_floor(self) -> RoomChange | None:
        """The room whose floor becomes warmest in the end; none where no floor is described."""
        told = [(one.after.floor_high_c, one) for one in self.rooms if one.after.floor_high_c is not None]
        return max(told, key=lambda pair: pair[0])[1] if told else None


@dataclass(frozen=True)
class WholeSum:
    """The line-up as a whole."""

    fuel_removed: Figure
    electricity_added: Figure
    money_saved: Figure
    carbon_saved: Figure
    cost: StatedTotal
    rebates_cents: int
    avoided_cents: int
    payback: Figure | None
    payback_words: str
    made_kg: float
    made_unknown: tuple[str, ...]
    refrigerant_kg: float
    stored_kg: float
    carbon_payback_years: float | None


@dataclass(frozen=True)
class SetWorth:
    """What one set does in a year, run as it is. `members`: bits of the lines, the first is 1."""

    members: int
    money_saved_cents: float
    carbon_saved_kg: float
    fuel_removed_kwh: float


@dataclass(frozen=True)
class SavingsSum:
    """One worked answer, with its inputs' fingerprint, range and date."""

    fingerprint: str
    made_at: datetime
    weather: str
    before: YearSummary
    after: YearSummary
    lines: tuple[SavingsLine, ...]
    whole: WholeSum
    moves: tuple[tuple[str, float], ...]
    sources: tuple[SourceLine, ...]
    notes: tuple[str, ...]
    range_basis: str = ""
    """Whether the house is as described or as fitted to its bills, in a sentence."""
    grid: GridPath = field(default_factory=lambda: GridPath(0.0))
    grid_by_hour: bool = False
    """Whether power was weighed hour by hour, not by one rate for the year."""
    comfort: Comfort | None = None
    sets: tuple[SetWorth, ...] = ()
    """The sets that were run."""
    every_set_was_run: bool = False
    """Whether `sets` holds every set that can stand together; so once the fair parts are counted."""

    @property
    def fair_parts_are_counted(self) -> bool:
        return any(line.fair_part is not None for line in self.lines)

    @property
    def fuel_dimension(self) -> Dimension:
        """How the fuel that the house burns is shown."""
        uses = self.before.uses
        return fuel_dimension(use.fuel for use in uses if use.fuel != "electricity" and use.year_kwh > 0)

    def line(self, key: str) -> SavingsLine | None:
        return next((line for line in self.lines if line.key == key), None)

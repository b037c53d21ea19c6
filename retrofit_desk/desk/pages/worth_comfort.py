"""Comfort on the Worth page: hours too cold and too warm, and the coldest face of each room."""

from __future__ import annotations

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pages import worth_words as words
from retrofit_desk.desk.pages.worth_pane import WorthLook, WorthPane
from retrofit_desk.desk.widgets.lines import StackedLine, StackedList
from retrofit_desk.desk.widgets.record_table import Column, RecordTable
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.services.moving_air import felt_beside_a_fan_c
from retrofit_desk.services.names import Names
from retrofit_desk.services.underfoot import dissatisfied_with_floor
from retrofit_desk.services.worth import Comfort, RoomChange, RoomYear, SavingsSum
from retrofit_desk.values.quantity import Dimension, Units, show


class ComfortPane(WorthPane):
    """The coldest and the hottest room in words, every room in a table."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.lines = StackedList(desk, "Comfort", "No room stands in the house before and after.")
        self.assumptions = soft_label()
        self.table: RecordTable[RoomChange] = RecordTable(desk, "Comfort", ())
        self.add(SectionHeading("What it does to the rooms"), self.lines, self.table, self.assumptions)

    def fill(self, look: WorthLook) -> None:
        comfort, units = look.sum.comfort, self.desk.units
        for part in (self.table, self.assumptions):
            part.setVisible(comfort is not None)
        if comfort is None:
            self.lines.set_lines([])
            return
        self.lines.set_lines([*_lines(comfort, look.rooms, units), _not_delivered(look.sum)])
        self.assumptions.setText(comfort.assumptions)
        self.table.set_rows(comfort.rooms, _columns(look.rooms, units))
        self.table.show_all_rows()


def _lines(comfort: Comfort, rooms: Names, units: Units) -> list[StackedLine]:
    cold, warm = comfort.coldest, comfort.hottest
    return [
        StackedLine(
            f"Coldest room: {rooms.of(cold.before.room)}",
            f"Lowest felt temperature {_both(cold, 'lowest_c', units)}; its coldest face "
            f"{_both(cold, 'coldest_face_c', units)}.",
            f"{_hours(cold.before.too_cold_hours, comfort)} too cold before, "
            f"{cold.after.too_cold_hours:,} after",
        ),
        StackedLine(
            f"Hottest room: {rooms.of(warm.before.room)}",
            f"Highest felt temperature {_both(warm, 'highest_c', units)}.",
            f"{_hours(warm.before.too_warm_hours, comfort)} too warm before, "
            f"{warm.after.too_warm_hours:,} after",
        ),
        _fan(warm.after.highest_c, units),
        _underfoot("Coolest floor", comfort.coolest_floor, "floor_low_c", (rooms, units)),
        _underfoot("Warmest floor", comfort.warmest_floor, "floor_high_c", (rooms, units)),
    ]


def _underfoot(title: str, room: RoomChange | None, pick: str, by: tuple[Names, Units]) -> StackedLine:
    """How many would mind the floor, before and after, in the room where it goes farthest after."""
    if room is None:
        return StackedLine(title, "No room has a floor described on its own side.", "unknown")
    rooms, units = by
    minded = [dissatisfied_with_floor(getattr(year, pick)) for year in (room.before, room.after)]
    return StackedLine(
        f"{title}: {rooms.of(room.after.room)}",
        "In shoes, any waking hour, the sun on it included; people who mind it by ISO 7730, clause 6 (from "
        f"memory): {minded[0]} before, {minded[1]} after. At its best 6% do.",
        _both(room, pick, units),
    )


def _fan(highest_c: float, units: Units) -> StackedLine:
    """What is left of the hottest hour in moving air."""
    felt, speed = felt_beside_a_fan_c(highest_c), "160 ft/min" if units is Units.US else "0.8 m/s"
    return StackedLine(
        "Beside a fan in that room",
        f"In the hottest hour after, light clothing, air of {speed} and half humid; by equal effective "
        "temperature, ASHRAE 55. No fan is in the other figures.",
        f"{_degrees(highest_c, units)} feels like {_degrees(felt, units)}",
    )


def _not_delivered(found: SavingsSum) -> StackedLine:
    """What the rooms did not get, beside the hours told as if they had got all."""
    before, after = (year.unmet_kwh for year in (found.before, found.after))
    if max(before, after) < 0.5:
        return StackedLine(
            "Asked for and not delivered", "The machines give all that the rooms ask for.", "nothing"
        )
    return StackedLine(
        "Asked for and not delivered",
        "Heat and cold of a year beyond what the machines give; the hours are told as if the rooms had it.",
        f"{words.about_energy(before)} before, {words.about_energy(after)} after",
    )


def _hours(hours: int, comfort: Comfort) -> str:
    return f"{hours:,} of {comfort.waking_hours:,} hours"


def _both(room: RoomChange, pick: str, units: Units) -> str:
    before, after = (_degrees(getattr(year, pick), units) for year in (room.before, room.after))
    return f"{before} before, {after} after"


def _degrees(value_c: float | None, units: Units) -> str:
    return "unknown" if value_c is None else show(value_c, Dimension.TEMPERATURE, units, decimals=0)


def _columns(rooms: Names, units: Units) -> tuple[Column[RoomChange], ...]:
    def pair(title: str, pick: str, *, degrees: bool) -> tuple[Column[RoomChange], Column[RoomChange]]:
        def text(year: RoomYear) -> str:
            value = getattr(year, pick)
            return _degrees(value, units) if degrees else f"{value:,}"

        return (
            Column(
                title,
                lambda row: text(row.before),
                lambda row: getattr(row.before, pick),
                is_number=True,
            ),
            Column(
                "after", lambda row: text(row.after), lambda row: getattr(row.after, pick), is_number=True
            ),
        )

    return (
        Column("Room", lambda row: rooms.of(row.before.room), is_strong=True),
        *pair("Cold hours", "too_cold_hours", degrees=False),
        *pair("Warm hours", "too_warm_hours", degrees=False),
        *pair("Lowest felt", "lowest_c", degrees=True),
        *pair("Coldest face", "coldest_face_c", degrees=True),
    )

"""House: what is this house?"""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QPushButton, QSplitter, QTabWidget

from retrofit_desk.desk.commands import Command
from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.page import Page
from retrofit_desk.desk.pages.house_around import AroundPane
from retrofit_desk.desk.pages.house_equipment import EquipmentPane
from retrofit_desk.desk.pages.house_leakage import LeakagePane
from retrofit_desk.desk.pages.house_meters import MetersPane
from retrofit_desk.desk.pages.house_panel import PanelPane
from retrofit_desk.desk.pages.house_plan import PlanPane
from retrofit_desk.desk.pages.house_room import RoomPane
from retrofit_desk.services.house import HouseService, LoadLine, Plan, Tint
from retrofit_desk.values.errors import CannotSay
from retrofit_desk.values.place import PageKey, Place
from retrofit_desk.values.quantity import Dimension, show, show_about, unit_word

LEAST_CHARS_BESIDE = 100
HABITS = frozenset({"preference", "savings_result", "sent_packet"})

READ_IN = "Read in bills, readings, a log …"


class HousePage(Page):
    """The plan at the left; at the right a room, what stands around, machines, panel, meters, leaks."""

    key = PageKey.HOUSE
    title = "House"
    question = "What is this house?"
    scrolls = False

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._house = desk.service(HouseService)
        self._tint = Tint.HEAT_LOSS
        self._room_id: int | None = None
        self._peaks: dict[int, float] = {}
        self.plan = PlanPane(desk)
        self.room = RoomPane(desk)
        self.around = AroundPane(desk)
        self.equipment = EquipmentPane(desk)
        self.panel = PanelPane(desk)
        self.meters = MetersPane(desk)
        self.leakage = LeakagePane(desk)
        self._build()
        self.plan.room_chosen.connect(self.choose_room)
        self.plan.tint_chosen.connect(self.choose_tint)
        self.room.room_wanted.connect(self.choose_room)
        desk.record_changed.connect(self._record_changed)

    def refresh(self) -> None:
        self._arrange()
        plan = self._house.plan(self._tint, self._peaks)
        rooms = [mark.id for storey in plan.storeys for mark in storey.rooms]
        heated = [mark.id for storey in plan.storeys for mark in storey.rooms if mark.is_conditioned]
        if self._room_id not in rooms:
            self._room_id = next(iter(heated or rooms), None)
        self.plan.show_plan(plan, self._room_id, self._about(plan))
        self.room.show_room(self._house.room(self._room_id) if self._room_id is not None else None)
        for pane in (self.around, self.equipment, self.panel, self.meters, self.leakage):
            pane.refresh()

    def show_item(self, place: Place) -> None:
        with self.desk.notices.caught():
            match place.kind, place.item:
                case "room", int(room_id):
                    self.choose_room(room_id)
                case "surface", int(surface_id):
                    self.choose_room(self._house.room_of_surface(surface_id))
                    self.room.choose_face(surface_id)
                case "equipment", int(machine_id):
                    self._tabs.setCurrentWidget(self.equipment)
                    self.equipment.choose(machine_id)
                case "meter", int(meter_id):
                    self._tabs.setCurrentWidget(self.meters)
                    self.meters.choose(meter_id)
                case "leakage test", _:
                    self._tabs.setCurrentWidget(self.leakage)

    def commands(self) -> tuple[Command, ...]:
        return (
            Command("read-in-bills", READ_IN, self.meters.ask_for_file, ("Ctrl+Shift+R",)),
            Command("leakage-test", "Record a leakage test …", self.leakage.record_test),
        )

    def choose_room(self, room_id: int) -> None:
        """Show a room and mark it on the plan."""
        self._room_id = room_id
        self._tabs.setCurrentWidget(self.room)
        with self.desk.notices.caught():
            self._show_plan_and_room()

    def choose_tint(self, tint: Tint) -> None:
        """Tint the plan by something else; the summer peak is worked out in the background when asked for."""
        self._tint = tint
        self._show_plan_and_room()
        if tint is Tint.SUMMER_PEAK and not self._peaks:
            self.work_out_summer_peak()

    def work_out_summer_peak(self) -> None:
        """Run the house through its year of weather."""

        def done(peaks: dict[int, float]) -> None:
            self._peaks = peaks
            self._show_plan_and_room()

        self.desk.jobs.start("Summer peak", self._house.summer_peaks, done)

    def _build(self) -> None:
        self._tabs = QTabWidget()
        for pane, words in (
            (self.room, "Room"),
            (self.around, "Around it"),
            (self.equipment, "Equipment"),
            (self.panel, "Panel"),
            (self.meters, "Meters and bills"),
            (self.leakage, "Air leakage"),
        ):
            self._tabs.addTab(pane, words)
        self._tabs.setUsesScrollButtons(True)
        self._halves = QSplitter(Qt.Orientation.Horizontal)
        self._halves.setChildrenCollapsible(False)
        self._halves.addWidget(self.plan)
        self._halves.addWidget(self._tabs)
        self._spread()
        self.body.addWidget(self._halves, 1)
        bills = QPushButton(READ_IN)
        bills.clicked.connect(self.meters.ask_for_file)
        self.head_row.addWidget(bills)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def _arrange(self) -> None:
        """Beside each other where there is room; with large text the plan becomes the first tab."""
        is_narrow = self.width() < self.fontMetrics().averageCharWidth() * LEAST_CHARS_BESIDE
        if is_narrow == (self._tabs.indexOf(self.plan) >= 0):
            return
        if is_narrow:
            self._tabs.insertTab(0, self.plan, "Plan")
        else:
            self._tabs.removeTab(self._tabs.indexOf(self.plan))
            self._halves.insertWidget(0, self.plan)
            self.plan.show()
            self._spread()

    def _spread(self) -> None:
        self._halves.setStretchFactor(0, 2)
        self._halves.setStretchFactor(1, 3)
        self._halves.setSizes([420, 660])

    def _show_plan_and_room(self) -> None:
        plan = self._house.plan(self._tint, self._peaks)
        self.plan.show_plan(plan, self._room_id, self._about(plan))
        if self._room_id is not None:
            self.room.show_room(self._house.room(self._room_id))

    def _record_changed(self, tables: frozenset[str]) -> None:
        if not tables <= HABITS:
            self._peaks = {}

    def _about(self, plan: Plan) -> str:
        if plan.tint is Tint.IN_PLACE:
            return (
                "How many of the measures that touch a room are in place, dropped and replaced ones left out."
            )
        unit = unit_word(Dimension.HEAT_FLUX, self.desk.units)
        if plan.tint is Tint.SUMMER_PEAK:
            return (
                f"Highest hour of cooling, {unit}, over the year of weather, the house as described, "
                "before any measure."
            )
        try:
            return self._load_words(self._house.load())
        except CannotSay as error:
            return error.line()

    def _load_words(self, load: LoadLine) -> str:
        units = self.desk.units
        unit = unit_word(Dimension.HEAT_FLUX, units)
        outside = show(load.outside_c, Dimension.TEMPERATURE, units)
        return (
            f"The house needs {show_about(load.heating_w, Dimension.POWER, units)} at {outside} outside "
            f"({show(load.w_per_m2, Dimension.HEAT_FLUX, units)}), as described, before any measure. Balance "
            f"by EN 12831; {show(load.air_m3_s, Dimension.AIR_FLOW, units)} leak in at "
            f"{show(load.wind_m_s, Dimension.SPEED, units)} of wind; no sun or gains counted. "
            f"Rooms in {unit}."
        )

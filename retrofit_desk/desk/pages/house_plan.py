"""The storeys of the house in plan, tinted by what the owner picks."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QVBoxLayout

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pictures.canvas import Canvas, ChoosablePicture
from retrofit_desk.desk.pictures.storey_plan import PlanRoom, draw_storey_plan
from retrofit_desk.desk.widgets.scroll_pane import ScrollPane
from retrofit_desk.desk.widgets.text import soft_label
from retrofit_desk.services.house import Plan, RoomMark, StoreyPlan, Tint
from retrofit_desk.values.quantity import Dimension, Units, number_text

SCALE_BARS = {Units.US: ("10 ft", 3.048), Units.SI: ("3 m", 3.0)}
LINES_A_METER, LINES_FOR_SCALE = 2.0, 1.8
LOW, HIGH = 7.0, 20.0


class PlanPane(ScrollPane):
    """Storeys under each other, the highest on top; a room is chosen by a click or with the arrow keys."""

    room_chosen = Signal(int)
    tint_chosen = Signal(object)  # Tint

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self.pictures: list[ChoosablePicture] = []
        column = self.column
        column.addLayout(self._tint_row())
        self._about = soft_label("")
        self._storeys = QVBoxLayout()
        self._storeys.setSpacing(8)
        column.addWidget(self._about)
        column.addLayout(self._storeys)
        column.addStretch(1)

    def show_plan(self, plan: Plan, chosen: int | None, about: str) -> None:
        """Draw all storeys; `about` says what the numbers are."""
        self.tint.setCurrentIndex(list(Tint).index(plan.tint))
        self._about.setText(plan.cannot_say or about)
        while (item := self._storeys.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        self.pictures = []
        shares = _Shares(plan)
        for storey in plan.storeys:
            name = QLabel(storey.name)
            name.setProperty("role", "soft")
            self._storeys.addWidget(name)
            self._storeys.addWidget(self._picture(storey, plan.tint, chosen, shares))

    def _tint_row(self) -> QHBoxLayout:
        self.tint = QComboBox()
        self.tint.addItems([str(tint) for tint in Tint])
        self.tint.setAccessibleName("Tint the plan by")
        self.tint.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.tint.setMinimumContentsLength(8)
        self.tint.activated.connect(lambda index: self.tint_chosen.emit(list(Tint)[index]))
        label = QLabel("Tint by")
        label.setBuddy(self.tint)
        row = QHBoxLayout()
        row.addWidget(label)
        row.addWidget(self.tint, 1)
        return row

    def _picture(
        self, storey: StoreyPlan, tint: Tint, chosen: int | None, shares: _Shares
    ) -> ChoosablePicture:
        rooms = tuple(self._plan_room(mark, tint, shares) for mark in storey.rooms)
        drawn = tuple(room for room in rooms if room.outline_m)
        words, length = SCALE_BARS[self._desk.units]
        picture = ChoosablePicture(lambda: self._desk.theme, f"{storey.name} in plan")

        def draw(canvas: Canvas) -> None:
            draw_storey_plan(canvas, drawn, chosen, words, length)

        told = "; ".join(f"{room.name}, {room.value_text}" for room in rooms)
        picture.set_drawing(draw, lines=_lines(drawn), columns=22.0, told=told)
        picture.chosen.connect(self.room_chosen.emit)
        self.pictures.append(picture)
        return picture

    def _plan_room(self, mark: RoomMark, tint: Tint, shares: _Shares) -> PlanRoom:
        words = mark.words
        if mark.value is not None and tint is not Tint.IN_PLACE:
            words = number_text(mark.value, Dimension.HEAT_FLUX, self._desk.units)
        return PlanRoom(
            key=mark.id,
            name=mark.name,
            outline_m=mark.outline_m,
            value_text=words,
            share=shares.of(mark),
            is_conditioned=mark.is_conditioned,
        )


class _Shares:
    """Where each room's value lies between the lowest and the highest of the house."""

    def __init__(self, plan: Plan) -> None:
        values = [mark.value for storey in plan.storeys for mark in storey.rooms if mark.value is not None]
        self._is_share = plan.tint is Tint.IN_PLACE
        self._low, self._high = min(values, default=0.0), max(values, default=0.0)

    def of(self, mark: RoomMark) -> float | None:
        if mark.value is None or self._is_share:
            return mark.value
        span = self._high - self._low
        return 0.5 if span <= 0.0 else (mark.value - self._low) / span


def _lines(rooms: tuple[PlanRoom, ...]) -> float:
    """Height of the drawing in lines of text: all storeys to one scale, but attics and crawl spaces low."""
    if not any(room.is_conditioned for room in rooms):
        return LOW
    ys = [y for room in rooms for _, y in room.outline_m] or [0.0]
    return LINES_FOR_SCALE + min(max((max(ys) - min(ys)) * LINES_A_METER, LOW), HIGH)

"""What stands around the house and takes sun away: the horizon and the trees, in words."""

from __future__ import annotations

from functools import partial

from PySide6.QtWidgets import QPushButton

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.pictures.canvas import Picture
from retrofit_desk.desk.pictures.skyline import SkylinePicture, Stand, draw_skyline
from retrofit_desk.desk.widgets.lines import LineButton, StackedLine, StackedList
from retrofit_desk.desk.widgets.scroll_pane import ScrollPane
from retrofit_desk.desk.widgets.text import SectionHeading, soft_label
from retrofit_desk.services.horizon import AZIMUTHS_DEG, HorizonService, SunCourse
from retrofit_desk.services.house import compass_word
from retrofit_desk.services.trees import TreeFacts, TreeRow, TreeService
from retrofit_desk.values.quantity import Dimension, show

ABOUT = (
    "Hills, houses and trees take sun from every face and window of the house alike, seen from its middle; "
    "what they hide of the sky is counted too. Overhangs and fins are recorded with each window. Solar "
    "modules have their shade by the month in their own form."
)
EQUINOX = 1
"""Among the days; beyond the tropics all three suns culminate on its side."""
NOT_LOOKED_AT = "Not looked at, so an open view is counted."


class AroundPane(ScrollPane):
    """The horizon by eighths of the compass, and every stand of trees."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        horizon = QPushButton("Change the horizon …")
        horizon.setToolTip("How high hills and houses stand around")
        horizon.clicked.connect(self.change_horizon)
        trees = QPushButton("Add trees …")
        trees.clicked.connect(lambda: self.change_trees(None))
        self._horizon = soft_label()
        self._trees = StackedList(desk, "Trees", "None recorded, so none are counted.")
        for title, button, words in (
            (SectionHeading("Horizon", "hills and houses"), horizon, self._horizon),
            (SectionHeading("Trees"), trees, self._trees),
        ):
            title.row.addWidget(button)
            self.column.addWidget(title)
            self.column.addWidget(words)
        self._sky = Picture(lambda: desk.theme, "Around the house, and the sun's course")
        self._hours = soft_label()
        self.column.addWidget(self._sky)
        self.column.addWidget(self._hours)
        self.column.addWidget(soft_label(ABOUT))
        self.column.addStretch(1)

    def refresh(self) -> None:
        self._horizon.setText(self._horizon_words())
        stands = self._desk.service(TreeService).stands()
        self._trees.set_lines([self._line(one) for one in stands])
        self._show_sky(stands)

    def change_horizon(self) -> None:
        """Open the form of the horizon."""
        from retrofit_desk.desk.dialogs.horizon import HorizonDialog

        HorizonDialog(self._desk, self).exec()

    def change_trees(self, stand: TreeRow | None) -> None:
        """Open the form of a stand of trees, a new one where None."""
        from retrofit_desk.desk.dialogs.tree_stand import TreeStandDialog

        TreeStandDialog(self._desk, self, stand).exec()

    def take_out(self, stand: TreeRow) -> None:
        """Take a stand of trees out of the record."""
        with self._desk.notices.caught():
            self._desk.service(TreeService).take_out(stand.id)
            self._desk.notices.tell(f"{stand.facts.name}: taken out. Undo brings them back.")

    def _show_sky(self, stands: tuple[TreeRow, ...]) -> None:
        horizon = self._desk.service(HorizonService)
        courses, heights = horizon.sun_courses(), horizon.altitudes_deg()
        for part in (self._sky, self._hours):
            part.setVisible(bool(courses))
        if not courses:
            return
        told = hours_words(courses)
        self._hours.setText(told)
        picture = SkylinePicture(
            courses[EQUINOX].noon_azimuth_deg,
            tuple((at, high) for at, high in zip(AZIMUTHS_DEG, heights, strict=True) if high is not None),
            tuple(_drawn(one.facts) for one in stands),
            tuple((one.day, one.points) for one in courses),
        )
        self._sky.set_drawing(
            lambda canvas: draw_skyline(canvas, picture), lines=15.0, columns=50.0, told=told
        )

    def _horizon_words(self) -> str:
        heights = self._desk.service(HorizonService).altitudes_deg()
        told = [
            f"{self._angle(height)} to the {compass_word(azimuth)}"
            for azimuth, height in zip(AZIMUTHS_DEG, heights, strict=True)
            if height is not None
        ]
        if not told:
            return NOT_LOOKED_AT
        return f"Above level: {', '.join(told)}; between them by a straight line."

    def _line(self, stand: TreeRow) -> StackedLine:
        facts = stand.facts
        begins, ends = (
            f"{compass_word(azimuth)} ({self._angle(azimuth)})"
            for azimuth in (facts.from_azimuth_deg, facts.to_azimuth_deg)
        )
        bare = "" if facts.share_bare is None else f" in leaf, {self._share(facts.share_bare)} when bare"
        return StackedLine(
            f"{facts.name}: {facts.in_leaf}",
            f"From {begins} clockwise to {ends}, tops {self._angle(facts.altitude_deg)} above level. "
            f"Let through {self._share(facts.share_in_leaf)} of the sun{bare}. Source: {facts.source}.",
            buttons=(
                LineButton("Change …", partial(self.change_trees, stand)),
                LineButton("Take out", partial(self.take_out, stand)),
            ),
        )

    def _angle(self, value_deg: float) -> str:
        return show(value_deg, Dimension.ANGLE, self._desk.units)

    def _share(self, share: float) -> str:
        return show(share, Dimension.SHARE, self._desk.units)


def hours_words(courses: tuple[SunCourse, ...]) -> str:
    """What hills and trees leave of the sun's hours on each day."""
    return " ".join(
        f"{one.day}: the sun is up for {one.hours_up:.1f} hours; hills and trees leave {one.hours_left:.1f}."
        for one in courses
    )


def _drawn(facts: TreeFacts) -> Stand:
    return Stand(facts.name, facts.from_azimuth_deg, facts.to_azimuth_deg, facts.altitude_deg)

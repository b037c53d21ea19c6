"""Packets: is the paper ready for them?"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import Qt, QUrl
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QFileDialog, QScrollArea, QSplitter, QVBoxLayout, QWidget

from retrofit_desk.desk.commands import Command
from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.packet_sent import PacketSentDialog
from retrofit_desk.desk.page import Page
from retrofit_desk.desk.pages.packets_sheet import PacketSheetPane
from retrofit_desk.desk.pages.packets_words import counts_words, made_words, sent_words
from retrofit_desk.desk.widgets.lines import StackedLine, StackedList
from retrofit_desk.desk.widgets.picker import Picker, PickLine
from retrofit_desk.desk.widgets.text import SectionHeading
from retrofit_desk.paperwork.contents import PacketKind
from retrofit_desk.services.packets import MadePacket, PacketEntry, PacketService, PacketState, SentRow
from retrofit_desk.values.place import PageKey, Place
from retrofit_desk.values.quantity import count_text


@dataclass(frozen=True)
class Look:
    """The page's answer at one moment: kinds, how each stands, what was made."""

    entries: dict[PacketKind, PacketEntry]
    states: dict[PacketKind, PacketState]
    made: tuple[SentRow, ...]


class PacketsPage(Page):
    """The kinds of packet on the left, the chosen one with its readiness and its pages on the right."""

    key = PageKey.PACKETS
    title = "Packets"
    question = "Is the paper ready for them?"
    scrolls = False

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._packets = desk.service(PacketService)
        self._kind = PacketKind.REBATE
        self._about: dict[PacketKind, int | None] = {}
        self._look: Look | None = None
        self._wanted: Place | None = None
        self.picker = Picker(desk, "Kinds of packet")
        self.made = StackedList(desk, "Made and sent", "No packet is made yet.")
        self.sheet = PacketSheetPane(desk, self)
        halves = QSplitter(Qt.Orientation.Horizontal)
        halves.setChildrenCollapsible(False)
        halves.addWidget(self._left())
        halves.addWidget(self.sheet)
        halves.setStretchFactor(0, 1)
        halves.setStretchFactor(1, 3)
        halves.setSizes([320, 780])
        self.body.addWidget(halves, 1)
        self.picker.chosen.connect(lambda key: self.choose(PacketKind(key)))

    def refresh(self) -> None:
        """The first look loads the estimator and is taken in the background; later ones are quick."""
        if self._look is None:
            self.desk.jobs.start("Looking through the papers", lambda _report: self._take_look(), self._show)
            return
        with self.desk.notices.caught():
            self._show(self._take_look())

    def show_item(self, place: Place) -> None:
        """A made packet by its id, or what an inspector's visit needs: its kind is chosen and shown."""
        if self._look is None:
            self._wanted = place
            return
        if place.kind == "inspection":
            self._kind = PacketKind.INSPECTOR
            self._about[self._kind] = place.item
            self.picker.mark(str(self._kind))
            self.refresh()
            return
        row = next((one for one in self._look.made if one.id == place.item), None)
        if row is not None:
            self._kind = row.kind
            self.picker.mark(str(self._kind))
            self._show_chosen(row)

    def commands(self) -> tuple[Command, ...]:
        return (Command("make-packet", "Make the packet", self.make, ("Ctrl+Return",)),)

    def choose(self, kind: PacketKind) -> None:
        """Show another kind of packet."""
        self._kind = kind
        self.picker.mark(str(kind))
        self._show_chosen()

    def choose_about(self, about: int | None) -> None:
        """Make the packet about another claim, loan, request or visit."""
        if self._about.get(self._kind) != about:
            self._about[self._kind] = about
            self.refresh()

    def make(self) -> None:
        """Make the chosen packet in the background."""
        state = self._look.states.get(self._kind) if self._look is not None else None
        if self._look is None or state is None:
            return
        kind, about, units = self._kind, state.subject.id, self.desk.units
        self.desk.jobs.start(
            f"Making: {self._look.entries[kind].title}",
            lambda report: self._packets.make(kind, progress=report, about=about, units=units),
            self._is_made,
        )

    def note_sent(self, row: SentRow) -> None:
        """Write down to whom it went."""
        PacketSentDialog(self.desk, self, row).exec()

    def open_folder(self, row: SentRow) -> None:
        """Show where the PDF lies."""
        if row.saved_as is not None:
            QDesktopServices.openUrl(QUrl.fromLocalFile(str(row.saved_as.parent)))

    def save_copy(self, row: SentRow) -> None:
        """Ask for a place and put a copy there."""
        name = row.saved_as.name if row.saved_as is not None else f"{row.title}.pdf"
        picked, _ = QFileDialog.getSaveFileName(self, "Save a copy", name, "PDF (*.pdf)")
        if picked:
            with self.desk.notices.caught():
                self._packets.save_copy(row.id, Path(picked))
                self.desk.notices.tell(f"Saved {picked}.")

    def _is_made(self, made: MadePacket) -> None:
        open_count = len(made.readiness_lines)
        lacks = (
            f"; {count_text(open_count, 'thing it needs is', 'things it needs are')} not ready"
            if open_count
            else ""
        )
        self.desk.notices.tell(
            f"Made {made.path.name}, {count_text(made.pages, 'page')}{lacks}. It lies in {made.path.parent}."
        )
        self.refresh()

    def _take_look(self) -> Look:
        return Look(
            {entry.kind: entry for entry in self._packets.kinds()},
            {state.kind: state for state in self._packets.overview(self._about)},
            self._packets.sent(),
        )

    def _show(self, look: Look) -> None:
        self._look = look
        self.picker.set_lines([self._pick_line(look, one) for one in look.entries.values()], str(self._kind))
        self.made.set_lines([self._made_line(row) for row in look.made])
        self._show_chosen()
        if self._wanted is not None:
            wanted, self._wanted = self._wanted, None
            self.show_item(wanted)

    def _show_chosen(self, row: SentRow | None = None) -> None:
        look = self._look
        if look is None:
            return
        shown = row or next((one for one in look.made if one.kind is self._kind), None)
        self.sheet.show_packet(look.entries[self._kind], look.states.get(self._kind), shown)

    def _left(self) -> QScrollArea:
        inside = QWidget()
        inside.setProperty("role", "body")
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 8, 0)
        column.addWidget(self.picker)
        column.addWidget(SectionHeading("Made and sent"))
        column.addWidget(self.made)
        column.addStretch(1)
        area = QScrollArea()
        area.setWidgetResizable(True)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setWidget(inside)
        return area

    @staticmethod
    def _pick_line(look: Look, entry: PacketEntry) -> PickLine:
        state = look.states.get(entry.kind)
        if state is None:
            return PickLine(str(entry.kind), entry.title, entry.nothing)
        remark = f"{state.subject.title}\n{counts_words(state.ready)}"
        return PickLine(str(entry.kind), entry.title, remark, state.needs_owner)

    def _made_line(self, row: SentRow) -> StackedLine:
        why = f"{made_words(row)}\n{sent_words(row)}"
        return StackedLine(row.title, why, place=Place(self.key, "packet", row.id))

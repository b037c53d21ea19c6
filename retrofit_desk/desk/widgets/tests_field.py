"""Tests on site in a form: put one in, type what the gauge said, and read at once what the rule says."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QVBoxLayout, QWidget

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.widgets.site_test_block import TestBlock
from retrofit_desk.services.site_tests import TestTemplate, WrittenTest, own_template

ANOTHER = "another test"


class TestsField(QWidget):
    """One block for each test; a list above puts them in."""

    __test__ = False
    changed = Signal()

    def __init__(self, desk: Desk, templates: Sequence[TestTemplate], kept: str) -> None:
        super().__init__()
        self._desk, self._kept = desk, kept
        self._templates = {one.kind: one for one in templates}
        self._photos: tuple[Path, ...] = ()
        self.blocks: list[TestBlock] = []
        self.known = QComboBox()
        self.known.setAccessibleName("Put in a test with its limits")
        self.known.addItem("put in a test …", None)
        for template in templates:
            self.known.addItem(template.quantity, template.kind)
        self.known.addItem(ANOTHER, "")
        self.known.activated.connect(self._put_chosen)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.addWidget(self.known)
        self.setFocusProxy(self.known)
        self.setAccessibleName("Tests")

    def put(self, kind: str) -> TestBlock:
        """A block for a test of this kind; the empty kind is one of the owner's own."""
        template = self._templates.get(kind) or own_template("", "")
        block = TestBlock(self._desk, template, len(self.blocks) + 1, self._kept)
        block.set_photos(self._photos)
        block.changed.connect(self.changed)
        block.taken_out.connect(lambda: self._take_out(block))
        self.blocks.append(block)
        self._column.addWidget(block)
        self.changed.emit()
        return block

    def written(self) -> tuple[WrittenTest, ...]:
        """Every test as typed. Raises `DeskError` for a number or a time that cannot be read."""
        return tuple(block.written() for block in self.blocks)

    def set_photos(self, paths: Sequence[Path]) -> None:
        """The photos of this entry, any of which may show a gauge."""
        self._photos = tuple(paths)
        for block in self.blocks:
            block.set_photos(self._photos)

    def draft_text(self) -> str:
        told = [{"kind": one.template.kind, **one.texts()} for one in self.blocks]
        return json.dumps(told, ensure_ascii=False) if told else ""

    def restore_draft(self, text: str) -> None:
        for block in list(self.blocks):
            self._take_out(block)
        for texts in json.loads(text) if text else ():
            self.put(texts.pop("kind")).set_texts(texts)

    def _put_chosen(self, index: int) -> None:
        kind: str | None = self.known.itemData(index)
        self.known.setCurrentIndex(0)
        if kind is not None:
            self.put(kind).begin()

    def _take_out(self, block: TestBlock) -> None:
        self.blocks.remove(block)
        self._column.removeWidget(block)
        block.deleteLater()
        self.known.setFocus()
        self.changed.emit()

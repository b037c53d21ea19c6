"""Every page and dialog with the keyboard and a screen reader: names, the way of Tab, keys, Escape."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractScrollArea,
    QDialog,
    QLabel,
    QPlainTextEdit,
    QPushButton,
    QScrollArea,
    QTabBar,
    QWidget,
)
from pytestqt.qtbot import QtBot

from retrofit_desk.desk.context import Desk
from retrofit_desk.desk.dialogs.form import FormDialog
from retrofit_desk.desk.settings import Settings
from retrofit_desk.desk.window import Window
from retrofit_desk.values.place import PageKey
from tests.desk.every_dialog import CannotMake, DialogMaker, dialog_classes

NEED_MORE = {"BeforeYouBuyDialog", "NewHouseDialog", "TrendDialog"}
"""Need a year of physics, a bench without a project, a controller's log: shown by tests of their own."""
BY_TAB = Qt.FocusPolicy.TabFocus


def controls(inside: QWidget) -> list[QWidget]:
    """What Tab can stop at and the owner can see."""
    return [
        one
        for one in inside.findChildren(QWidget)
        if one.isVisibleTo(inside)
        and one.isEnabled()
        and one.focusPolicy() & BY_TAB
        and not one.focusProxy()
        and not _only_scrolls(one)
        and not one.objectName().startswith("qt_")  # the line inside a box that has its own name
    ]


def _only_scrolls(one: QWidget) -> bool:
    holds_words = isinstance(one, QPlainTextEdit | QAbstractItemView)
    return isinstance(one, QAbstractScrollArea) and not holds_words


def name_of(control: QWidget) -> str:
    """As a screen reader says it: its own name, its words, or the label before it."""
    if control.accessibleName():
        return control.accessibleName()
    if isinstance(control, QAbstractButton) and control.text():
        return control.text()
    if isinstance(control, QTabBar):
        return ", ".join(control.tabText(at) for at in range(control.count()))
    window = control.window()
    labels = [label for label in window.findChildren(QLabel) if label.buddy() is control]
    return labels[0].text() if labels else ""


def unnamed(inside: QWidget) -> list[str]:
    return [
        f"{type(one).__name__} in {type(one.parentWidget()).__name__}"
        for one in controls(inside)
        if not name_of(one)
    ]


def twice_used_keys(inside: QWidget) -> list[str]:
    """Letters underlined on more than one control."""
    texts = [one.text() for one in inside.findChildren(QAbstractButton) if one.isVisibleTo(inside)]
    texts += [one.text() for one in inside.findChildren(QLabel) if one.isVisibleTo(inside) and one.buddy()]
    letters = Counter(letter.casefold() for text in texts for letter in re.findall(r"&(\w)", text))
    return [letter for letter, count in letters.items() if count > 1]


def reached_by_tab(inside: QWidget) -> set[QWidget]:
    """Every control that Tab comes to, until it comes to one of them again."""
    seen: set[QWidget] = set()
    for _step in range(600):
        if not inside.focusNextPrevChild(True):
            break
        focus = inside.focusWidget()
        if focus is None or focus in seen:
            break
        seen.add(focus)
    return seen


@pytest.fixture
def window(sample_desk: Desk, settings: Settings, qtbot: QtBot) -> Window:
    shown = Window(sample_desk, settings, lambda _how: None)
    qtbot.addWidget(shown)
    shown.resize(1280, 720)
    shown.show()
    return shown


@pytest.mark.parametrize("key", list(PageKey))
def test_every_control_of_a_page_has_a_name(
    sample_desk: Desk, window: Window, qtbot: QtBot, key: PageKey
) -> None:
    window.show_page(key)
    qtbot.waitUntil(lambda: not sample_desk.jobs.running, timeout=60_000)
    assert unnamed(window) == []
    assert twice_used_keys(window) == []


def test_every_dialog_can_be_used_without_a_mouse(
    sample_desk: Desk, window: Window, qtbot: QtBot, tmp_path: Path
) -> None:
    maker = DialogMaker(sample_desk, tmp_path, window)
    faults, left_out = [], []
    for kind in dialog_classes():
        try:
            dialog = maker.make(kind)
        except CannotMake as error:
            left_out.append(str(error))
            continue
        qtbot.addWidget(dialog)
        with qtbot.waitActive(dialog):
            dialog.open()
            dialog.activateWindow()
        faults += [f"{kind.__name__}: no name: {one}" for one in unnamed(dialog)]
        faults += [f"{kind.__name__}: Alt+{letter} twice" for letter in twice_used_keys(dialog)]
        faults += [f"{kind.__name__}: {one}" for one in _keys_of(dialog)]
    assert not faults, "\n".join(faults)
    assert {one.partition(":")[0] for one in left_out} == NEED_MORE


def _begins_in_a_field(dialog: FormDialog) -> bool:
    fields = dialog.findChildren(QScrollArea)[0].widget()
    assert fields is not None
    return not controls(fields) or fields.isAncestorOf(dialog.focusWidget())


def _keys_of(dialog: QDialog) -> list[str]:
    faults = []
    if not dialog.windowTitle():
        faults.append("has no title")
    if isinstance(dialog, FormDialog) and not any(
        one.isDefault() for one in dialog.findChildren(QPushButton)
    ):
        faults.append("no button answers Enter")
    if isinstance(dialog, FormDialog) and not _begins_in_a_field(dialog):
        faults.append("the keys do not go to a field first")
    tabbed = reached_by_tab(dialog)
    missed = [one for one in controls(dialog) if not any(one is x or one.isAncestorOf(x) for x in tabbed)]
    faults += [f"Tab does not come to {type(one).__name__} “{name_of(one)}”" for one in missed]
    QTest.keyClick(dialog, Qt.Key.Key_Escape)
    if dialog.isVisible():
        faults.append("Escape does not close it")
    return faults

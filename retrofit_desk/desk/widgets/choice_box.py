"""A box to choose one recorded thing from."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtWidgets import QComboBox


def choice_box(choices: Sequence[tuple[int, str]], none: str = "") -> QComboBox:
    """Each entry carries its id; `none` is the first entry's word for "none of them", left out when empty."""
    box = QComboBox()
    box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    box.setMinimumContentsLength(20)
    if none:
        box.addItem(none, None)
    for row_id, words in choices:
        box.addItem(words, row_id)
    return box

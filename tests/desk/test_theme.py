"""Paper and ink can be read, in light and in dark."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from PySide6.QtGui import QColor, QFontDatabase, QRawFont
from PySide6.QtWidgets import QApplication, QCheckBox

from retrofit_desk.desk.icons import icon_pixmap
from retrofit_desk.desk.theme import DARK, FONT_FAMILY, FONT_FILES, LIGHT, Tokens, dress, load_fonts
from retrofit_desk.records.shipped import shipped_folder
from retrofit_desk.values.place import PageKey

TEXT_ON = [
    ("ink", "paper"),
    ("ink", "sheet"),
    ("ink", "selection"),
    ("ink", "copper_wash"),
    ("soft_ink", "paper"),
    ("soft_ink", "sheet"),
    ("on_frame", "frame"),
    ("soft_on_frame", "frame"),
    ("spruce", "paper"),
    ("copper", "paper"),
    ("copper", "sheet"),
    ("copper", "copper_wash"),
]


def contrast(one: str, other: str) -> float:
    """WCAG 2.2, definitions of relative luminance and contrast ratio."""

    def luminance(color: str) -> float:
        parts = [
            part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
            for part in QColor(color).getRgbF()[:3]
        ]
        return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]

    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize(("text", "ground"), TEXT_ON)
def test_text_reaches_the_contrast_of_the_accessibility_standard(
    tokens: Tokens, text: str, ground: str
) -> None:
    # WCAG 2.2, success criterion 1.4.3 (AA): at least 4.5 to 1 for text
    assert contrast(getattr(tokens, text), getattr(tokens, ground)) >= 4.5


@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=["light", "dark"])
def test_lines_of_controls_reach_the_contrast_of_the_accessibility_standard(tokens: Tokens) -> None:
    # WCAG 2.2, success criterion 1.4.11 (AA): at least 3 to 1 for the boundaries of controls
    assert contrast(tokens.hatch, tokens.paper) >= 3
    assert contrast(tokens.spruce, tokens.sheet) >= 3


def test_black_on_white_is_twenty_one_to_one() -> None:
    # WCAG 2.2, definition of contrast ratio: 21 is the greatest possible
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)


def test_the_shipped_fonts_carry_every_sign_the_screens_use(qapp: QApplication) -> None:
    load_fonts()
    assert FONT_FAMILY in QFontDatabase.families()
    for name in FONT_FILES:
        font = QRawFont(str(shipped_folder("assets") / "fonts" / name), 12.0)
        missing = [sign for sign in "½²³·–—−°×±≤≥→…“”′″₂" if not font.supportsCharacter(ord(sign))]
        assert missing == [], name


def test_the_font_license_travels_with_the_fonts() -> None:
    text = (shipped_folder("assets") / "fonts" / "LICENSE.txt").read_text(encoding="utf-8")
    assert "SIL Open Font License" in text


@pytest.mark.parametrize("name", [str(key) for key in PageKey])
def test_every_page_has_an_icon_in_the_ink_of_the_moment(qapp: QApplication, name: str) -> None:
    image = icon_pixmap(name, LIGHT.on_frame, 24).toImage()
    inks = {
        image.pixelColor(x, y).name()
        for x in range(24)
        for y in range(24)
        if image.pixelColor(x, y).alpha() == 255
    }
    assert inks == {LIGHT.on_frame}


def test_icons_of_packets_and_papers_do_not_look_alike(qapp: QApplication) -> None:
    pictures = [icon_pixmap(name, "#000000", 24).toImage() for name in ("packets", "papers")]
    drawn = [
        {(x, y) for x in range(24) for y in range(24) if picture.pixelColor(x, y).alpha() > 100}
        for picture in pictures
    ]
    assert len(drawn[0] & drawn[1]) / len(drawn[0] | drawn[1]) < 0.4


@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("scale", [1.0, 2.0])
def test_a_box_to_tick_is_seen_and_grows_with_the_text(
    qapp: QApplication, tokens: Tokens, scale: float
) -> None:
    dress(qapp, tokens, scale)
    box = QCheckBox("Pulled by the homeowner")
    inks = []
    for ticked in (False, True):
        box.setChecked(ticked)
        image = box.grab().toImage()
        left = image.copy(0, 0, round(14 * scale) + 2, image.height())
        inks.append([left.pixelColor(x, y).name() for x in range(left.width()) for y in range(left.height())])
    empty, full = inks
    assert empty.count(tokens.hatch) >= 4 * 13 * scale  # four sides
    assert empty.count(tokens.ink) == 0 < full.count(tokens.ink)
    dress(qapp, LIGHT)


def test_no_color_stands_outside_the_one_table() -> None:
    folder = Path(__file__).resolve().parents[2] / "retrofit_desk" / "desk"
    strangers = [
        path.name
        for path in folder.rglob("*.py")
        if path.name not in ("theme.py", "icons.py")
        and re.search(r"#[0-9a-fA-F]{6}\b", path.read_text("utf-8"))
    ]
    assert strangers == []

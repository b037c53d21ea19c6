"""Paper, ink and line weights: every color and font of the window from one table."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from PySide6.QtGui import QColor, QFont, QFontDatabase, QPalette
from PySide6.QtWidgets import QApplication

from retrofit_desk.records.shipped import shipped_folder

FONT_FILES = (
    "SourceSansPro-Regular.ttf",
    "SourceSansPro-Semibold.ttf",
    "SourceSansPro-Bold.ttf",
    "SourceSansPro-It.ttf",
)
FONT_FAMILY = "Source Sans Pro"
BASE_POINT_SIZE = 10.5
TITLE_POINT_SIZE = 17.0
MARK_PX = 14  # a box to tick, the arrow of a list to open


class Tone(StrEnum):
    """Light paper or dark paper."""

    LIGHT = "light"
    DARK = "dark"


@dataclass(frozen=True)
class Tokens:
    """The colors of one tone, as "#rrggbb".

    Spruce is for the frame and for selection only; copper only for what needs the owner, beside a notch.
    """

    tone: Tone
    paper: str
    sheet: str  # fields and tables: a little nearer to white (or to the eye) than the paper
    ink: str
    soft_ink: str
    line: str
    hatch: str
    frame: str
    on_frame: str
    soft_on_frame: str
    spruce: str
    selection: str
    copper: str
    copper_wash: str


LIGHT = Tokens(
    tone=Tone.LIGHT,
    paper="#f5f0e5",
    sheet="#fcf9f2",
    ink="#25211b",
    soft_ink="#625a4d",
    line="#c3b8a4",
    hatch="#8a8070",
    frame="#1f4a42",
    on_frame="#f3eee1",
    soft_on_frame="#b6cbc2",
    spruce="#1f5a4f",
    selection="#d3e0d8",
    copper="#98481a",
    copper_wash="#f2e0cf",
)
DARK = Tokens(
    tone=Tone.DARK,
    paper="#1f1c18",
    sheet="#282420",
    ink="#ece5d7",
    soft_ink="#b5aa98",
    line="#554d42",
    hatch="#8f8473",
    frame="#12312b",
    on_frame="#e6efe9",
    soft_on_frame="#9dbab0",
    spruce="#8abfae",
    selection="#2b4a42",
    copper="#e39a66",
    copper_wash="#40301f",
)
TOKENS = {Tone.LIGHT: LIGHT, Tone.DARK: DARK}


def load_fonts() -> None:
    """Register the shipped fonts once; text falls back to the system's fonts for what they lack."""
    if FONT_FAMILY in QFontDatabase.families():
        return
    folder = shipped_folder("assets") / "fonts"
    for name in FONT_FILES:
        QFontDatabase.addApplicationFont(str(folder / name))


def base_font(scale: float = 1.0) -> QFont:
    """The font of running text at a text scale of 1.0 to 2.0."""
    font = QFont(FONT_FAMILY)
    font.setPointSizeF(BASE_POINT_SIZE * scale)
    return font


def palette(tokens: Tokens) -> QPalette:
    """Qt's palette in the tokens' colors."""
    roles = QPalette.ColorRole
    colors = {
        roles.Window: tokens.paper,
        roles.WindowText: tokens.ink,
        roles.Base: tokens.sheet,
        roles.AlternateBase: tokens.paper,
        roles.Text: tokens.ink,
        roles.PlaceholderText: tokens.soft_ink,
        roles.Button: tokens.paper,
        roles.ButtonText: tokens.ink,
        roles.BrightText: tokens.copper,
        roles.ToolTipBase: tokens.sheet,
        roles.ToolTipText: tokens.ink,
        roles.Highlight: tokens.selection,
        roles.HighlightedText: tokens.ink,
        roles.Link: tokens.spruce,
        roles.LinkVisited: tokens.spruce,
        roles.Accent: tokens.spruce,
        roles.Light: tokens.sheet,
        roles.Midlight: tokens.sheet,
        roles.Mid: tokens.line,
        roles.Dark: tokens.line,
        roles.Shadow: tokens.hatch,
    }
    made = QPalette()
    for role, color in colors.items():
        made.setColor(role, QColor(color))
    for role in (roles.WindowText, roles.Text, roles.ButtonText):
        made.setColor(QPalette.ColorGroup.Disabled, role, QColor(tokens.hatch))
    return made


def stylesheet(tokens: Tokens, scale: float = 1.0) -> str:
    """The few rules a palette cannot say: line weights, the frame, headings by their `role` property."""
    colors = {name: getattr(tokens, name) for name in tokens.__dataclass_fields__}
    icons = (shipped_folder("assets") / "icons").as_posix()
    sizes = {"title_pt": TITLE_POINT_SIZE * scale, "mark_px": round(MARK_PX * scale)}
    return _STYLE.format(**colors, **sizes, icons=icons)


def dress(app: QApplication, tokens: Tokens, scale: float = 1.0) -> None:
    """Put a tone and a text scale on the whole application, live."""
    app.setStyle("Fusion")
    app.setFont(base_font(scale))
    app.setPalette(palette(tokens))
    app.setStyleSheet(stylesheet(tokens, scale))


_STYLE = """
QToolTip {{ background: {sheet}; color: {ink}; border: 1px solid {line}; padding: 3px; }}
QLabel[role="title"] {{ font-size: {title_pt:.1f}pt; font-weight: 600; }}
QLabel[role="section"] {{ font-weight: 600; }}
QLabel[role="soft"] {{ color: {soft_ink}; }}
QLabel[role="owner"] {{ color: {copper}; font-weight: 600; }}
QFrame[role="rule"] {{ background: {ink}; border: none; max-height: 1px; min-height: 1px; }}
QFrame[role="hairline"] {{ background: {line}; border: none; max-height: 1px; min-height: 1px; }}
QWidget#rail {{ background: {frame}; }}
QWidget#strip {{ background: {paper}; border-bottom: 1px solid {line}; }}
QPushButton, QToolButton {{ background: {sheet}; border: 1px solid {hatch}; padding: 4px 10px;
  color: {ink}; }}
QToolButton {{ padding: 4px 7px; }}
QPushButton:hover, QToolButton:hover {{ background: {selection}; }}
QPushButton:pressed, QToolButton:pressed, QToolButton:checked {{ background: {selection}; }}
QPushButton:default {{ border: 2px solid {spruce}; padding: 3px 9px; }}
QPushButton:focus, QToolButton:focus {{ border: 2px solid {spruce}; padding: 3px 9px; }}
QToolButton:focus {{ padding: 3px 6px; }}
QPushButton:disabled, QToolButton:disabled {{ color: {hatch}; border-color: {line}; }}
QToolButton[flat="true"] {{ background: transparent; border: 1px solid transparent; }}
QToolButton[flat="true"]:hover {{ border-color: {line}; background: {sheet}; }}
QToolButton[flat="true"]:focus {{ border: 2px solid {spruce}; }}
QToolButton[role="in line"] {{ padding: 0 6px; }}
QToolButton[role="in line"]:focus {{ padding: 0 5px; }}
QLineEdit, QTextEdit, QPlainTextEdit, QComboBox, QSpinBox, QDateEdit {{
  background: {sheet}; border: 1px solid {line}; border-bottom: 1px solid {hatch}; padding: 3px 5px;
  selection-background-color: {selection}; selection-color: {ink}; }}
QLineEdit:focus, QTextEdit:focus, QPlainTextEdit:focus, QComboBox:focus, QSpinBox:focus {{
  border: 2px solid {spruce}; padding: 2px 4px; }}
QComboBox::drop-down {{ border: none; width: {mark_px}px; padding-right: 4px; }}
QComboBox::down-arrow {{ image: url("{icons}/down_{tone}.svg"); width: {mark_px}px; height: {mark_px}px; }}
QCheckBox::indicator, QAbstractItemView::indicator {{ background: {sheet}; border: 1px solid {hatch};
  width: {mark_px}px; height: {mark_px}px; }}
QCheckBox::indicator:checked, QAbstractItemView::indicator:checked {{
  image: url("{icons}/tick_{tone}.svg"); }}
QCheckBox::indicator:focus {{ border: 2px solid {spruce}; }}
QCheckBox::indicator:disabled {{ border-color: {line}; }}
QLineEdit[trouble="true"] {{ border: 2px solid {copper}; padding: 2px 4px; }}
QTableView, QListView, QTreeView {{ background: {sheet}; border: 1px solid {line}; gridline-color: {line};
  selection-background-color: {selection}; selection-color: {ink}; outline: 0; }}
QTableView:focus, QListView:focus, QTreeView:focus {{ border: 1px solid {spruce}; }}
QTableView::item {{ padding: 0 3px; }}
QAbstractScrollArea::corner {{ background: transparent; border: none; }}
QHeaderView::section {{ background: {paper}; color: {soft_ink}; border: none; border-bottom: 1px solid {ink};
  border-right: 1px solid {line}; padding: 4px 6px; font-weight: 600; }}
QHeaderView::up-arrow, QHeaderView::down-arrow {{ subcontrol-position: top center; }}
QTableCornerButton::section {{ background: {paper}; border: none; }}
QScrollArea, QScrollArea > QWidget > QWidget[role="body"] {{ background: transparent; border: none; }}
QScrollBar:vertical {{ background: transparent; width: 11px; margin: 0; }}
QScrollBar:horizontal {{ background: transparent; height: 11px; margin: 0; }}
QScrollBar::handle {{ background: {line}; min-height: 28px; min-width: 28px; margin: 2px; }}
QScrollBar::handle:hover {{ background: {hatch}; }}
QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
QScrollBar::add-page, QScrollBar::sub-page {{ background: transparent; }}
QTabBar::tab {{ background: transparent; border: none; border-bottom: 2px solid {line}; padding: 5px 12px;
  color: {soft_ink}; }}
QTabBar::tab:selected {{ color: {ink}; border-bottom: 2px solid {spruce}; font-weight: 600; }}
QTabBar::tab:focus {{ border-bottom: 3px solid {spruce}; }}
QTabBar::scroller {{ width: 52px; }}
QTabBar QToolButton {{ padding: 0; border-color: {line}; }}
QTabBar QToolButton:disabled {{ background: {paper}; }}
QTabWidget::pane {{ border: none; border-top: 1px solid {line}; }}
QMenuBar {{ background: {paper}; }}
QMenuBar::item:selected, QMenu::item:selected {{ background: {selection}; color: {ink}; }}
QMenu {{ background: {sheet}; border: 1px solid {hatch}; }}
QMenu::item {{ padding: 4px 24px 4px 12px; }}
QProgressBar {{ background: {sheet}; border: 1px solid {hatch}; text-align: center; color: {ink}; }}
QProgressBar::chunk {{ background: {selection}; border-right: 1px solid {spruce}; }}
QSplitter::handle {{ background: {line}; width: 1px; height: 1px; margin: 2px; }}
QWidget#notice {{ background: {copper_wash}; border-bottom: 1px solid {copper}; }}
QWidget#notice[quiet="true"] {{ background: {sheet}; border-bottom: 1px solid {line}; }}
QWidget#jobs {{ background: {sheet}; border-top: 1px solid {line}; }}
"""

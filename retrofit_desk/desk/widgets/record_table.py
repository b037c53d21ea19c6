"""A table of frozen rows: sorts, filters, copies as a table, exports."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any, Generic, TypeVar

from PySide6.QtCore import (
    QAbstractTableModel,
    QEvent,
    QMimeData,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QSortFilterProxyModel,
    Qt,
    QTimer,
    Signal,
)
from PySide6.QtGui import QFont, QFontMetrics, QKeyEvent, QKeySequence
from PySide6.QtWidgets import (
    QAbstractItemView,
    QApplication,
    QFileDialog,
    QHBoxLayout,
    QHeaderView,
    QLineEdit,
    QTableView,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from retrofit_desk.desk.context import Desk
from retrofit_desk.values.quantity import count_text

Row = TypeVar("Row")
Index = QModelIndex | QPersistentModelIndex
WIDEST_CHARS, LEAST_NAME, LEAST_WORDS, SHORT_CHARS = 46, 18, 12, 20
"""How wide a column of words may be, how narrow one that names the row, or another, may become; and what is
never cut."""
LEAST_ROWS = 3
HEADING_SIDES = 3
"""Characters left free beside the words of a heading."""
MEASURED_ROWS = 200
"""How many rows say how wide a column is, from those in view on: a list of thousands opens as fast."""


@dataclass(frozen=True)
class Column(Generic[Row]):
    """One column: its heading, what it shows of a row, what it sorts by (default: what it shows).

    Numbers set `is_number` and stand to the right; `sort_by` gives the bare number, None sorts last.
    """

    title: str
    text: Callable[[Row], str]
    sort_by: Callable[[Row], Any] | None = None
    is_number: bool = False
    hint: Callable[[Row], str] | None = None
    is_strong: bool = False


class RowModel(QAbstractTableModel, Generic[Row]):
    """Frozen rows under columns; tested with no window open."""

    def __init__(self, columns: Sequence[Column[Row]]) -> None:
        super().__init__()
        self.columns: tuple[Column[Row], ...] = tuple(columns)
        self.rows: tuple[Row, ...] = ()
        self._sort_keys: dict[int, list[Any]] = {}

    def set_rows(self, rows: Sequence[Row], columns: Sequence[Column[Row]] | None = None) -> None:
        """Show other rows; other columns too when headings carry units that changed."""
        self.beginResetModel()
        self.rows = tuple(rows)
        self._sort_keys.clear()
        if columns is not None:
            self.columns = tuple(columns)
        self.endResetModel()

    def sort_keys(self, column: int) -> list[Any]:
        """What a column sorts by, row by row; worked out once, for sorting compares each many times."""
        if column not in self._sort_keys:
            by = self.columns[column]
            key = by.sort_by or (lambda row: by.text(row).casefold())
            self._sort_keys[column] = [key(row) for row in self.rows]
        return self._sort_keys[column]

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 Qt's own signature
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 Qt's own signature
        return 0 if parent.isValid() else len(self.columns)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        column, row = self.columns[index.column()], self.rows[index.row()]
        match role:
            case Qt.ItemDataRole.DisplayRole:
                return column.text(row)
            case Qt.ItemDataRole.ToolTipRole:
                return column.hint(row) if column.hint else column.text(row)
            case Qt.ItemDataRole.TextAlignmentRole:
                side = Qt.AlignmentFlag.AlignRight if column.is_number else Qt.AlignmentFlag.AlignLeft
                return side | Qt.AlignmentFlag.AlignVCenter
            case Qt.ItemDataRole.FontRole if column.is_strong:
                font = QFont(QApplication.font())
                font.setWeight(QFont.Weight.DemiBold)
                return font
        return None

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        if orientation is Qt.Orientation.Vertical:
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            column = self.columns[section]
            return column.title.replace(", ", ",\n") if column.is_number else column.title
        if role == Qt.ItemDataRole.TextAlignmentRole:
            number = self.columns[section].is_number
            return (
                Qt.AlignmentFlag.AlignRight if number else Qt.AlignmentFlag.AlignLeft
            ) | Qt.AlignmentFlag.AlignVCenter
        return None


class _SortAndFilter(QSortFilterProxyModel):
    """Every word typed must stand somewhere in the row; rows without a value sort last."""

    def __init__(self, model: RowModel[Any]) -> None:
        super().__init__()
        self._rows = model
        self._words: list[str] = []
        self.setSourceModel(model)

    def set_words(self, typed: str) -> None:
        self.beginFilterChange()
        self._words = typed.casefold().split()
        self.endFilterChange()

    def filterAcceptsRow(self, source_row: int, _source_parent: Index) -> bool:
        if not self._words:
            return True
        row = self._rows.rows[source_row]
        whole = " ".join(column.text(row) for column in self._rows.columns).casefold()
        return all(word in whole for word in self._words)

    def lessThan(self, left: Index, right: Index) -> bool:
        keys = self._rows.sort_keys(left.column())
        one, other = keys[left.row()], keys[right.row()]
        if one is None or other is None:
            ascending = self.sortOrder() is Qt.SortOrder.AscendingOrder
            return (other is None and one is not None) if ascending else (one is None and other is not None)
        return bool(one < other)


class RecordTable(QWidget, Generic[Row]):
    """The table with its filter line. Enter or a double click opens a row, Ctrl+C copies as a table."""

    opened = Signal(object)  # a row
    chosen = Signal(object)  # a row, or None

    def __init__(
        self, desk: Desk, name: str, columns: Sequence[Column[Row]], *, filters: bool = True
    ) -> None:
        super().__init__()
        self._desk, self._name = desk, name
        self.model = RowModel(columns)
        self._proxy = _SortAndFilter(self.model)
        self.view = QTableView()
        self._filter = QLineEdit()
        self._shows_all = False
        self._set_up_view()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        if filters:
            column.addLayout(self._top_row())
        column.addWidget(self.view, 1)

    def set_rows(self, rows: Sequence[Row], columns: Sequence[Column[Row]] | None = None) -> None:
        """Show these rows; the selection stays on an equal row, sorting and filter stay as they were."""
        before = self.selected()
        self.model.set_rows(rows, columns)
        self._fit_columns()
        if before is not None and before in self.model.rows:
            self.select(before)

    def selected(self) -> Row | None:
        index = self.view.currentIndex()
        return self.model.rows[self._proxy.mapToSource(index).row()] if index.isValid() else None

    def select(self, row: Row) -> None:
        """Select a row and bring it into view; a filter that hides it is taken off."""
        number = self.model.rows.index(row)
        index = self._proxy.mapFromSource(self.model.index(number, 0))
        if not index.isValid():
            self._filter.clear()
            index = self._proxy.mapFromSource(self.model.index(number, 0))
        self.view.setCurrentIndex(index)
        self.view.scrollTo(index)

    def shown_rows(self) -> list[Row]:
        """The rows as they stand in the table now, sorted and filtered."""
        count = self._proxy.rowCount()
        return [self.model.rows[self._proxy.mapToSource(self._proxy.index(i, 0)).row()] for i in range(count)]

    def shown_texts(self) -> list[list[str]]:
        """What is read in the table now, row by row."""
        return [[column.text(row) for column in self.model.columns] for row in self.shown_rows()]

    def show_all_rows(self) -> None:
        """As high as its rows, for short tables in a page that scrolls as a whole."""
        self._shows_all = True
        self.view.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._fit_height()

    def _fit_height(self) -> None:
        """At any size of the text at least a few rows are seen."""
        if self._shows_all:
            self.view.setFixedHeight(self._height_of(max(self._proxy.rowCount(), 1)))
        else:
            self.view.setMinimumHeight(self._height_of(LEAST_ROWS))

    def _height_of(self, rows: int) -> int:
        bar = self.view.horizontalScrollBar().sizeHint().height()
        head = self.view.horizontalHeader().sizeHint().height()
        row = self.view.verticalHeader().defaultSectionSize()
        return rows * row + head + bar + 2 * self.view.frameWidth()

    def copy(self) -> None:
        """The selected rows, or all when fewer than two are selected, as a table to paste."""
        headings = [column.title for column in self.model.columns]
        picked = sorted({index.row() for index in self.view.selectionModel().selectedRows()})
        shown = self.shown_texts()
        lines = [headings, *([shown[i] for i in picked] if len(picked) > 1 else shown)]
        data = QMimeData()
        data.setText("\n".join("\t".join(line) for line in lines))
        data.setHtml(_html(lines))
        QApplication.clipboard().setMimeData(data)
        self._desk.notices.tell(f"Copied {count_text(len(lines) - 1, 'row')} of {self._name} as a table.")

    def export(self) -> None:
        """Ask for a file name and write what is shown: a workbook or a CSV file by its ending."""
        typed, _ = QFileDialog.getSaveFileName(
            self, f"Export {self._name}", f"{self._name}.xlsx", "Workbook (*.xlsx);;CSV (*.csv)"
        )
        if typed:
            with self._desk.notices.caught():
                self._desk.notices.tell(f"Wrote {self.export_to(Path(typed))}.")

    def export_to(self, path: Path) -> Path:
        """Write what is shown now; the ending decides, .csv or .xlsx."""
        from retrofit_desk.exchange.spreadsheet import Sheet, write_csv, write_workbook

        headings = tuple(column.title for column in self.model.columns)
        sheet = Sheet(self._name, headings, tuple(self._cells(row) for row in self.shown_rows()))
        if path.suffix.lower() == ".csv":
            return write_csv(path, sheet)
        return write_workbook(path.with_suffix(".xlsx"), [sheet])

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self.view and event.type() == QEvent.Type.Resize:
            QTimer.singleShot(0, self, self._fit_columns)
        if watched is self.view and event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            if event.matches(QKeySequence.StandardKey.Copy):
                self.copy()
                return True
            if event.matches(QKeySequence.StandardKey.Find):
                self._filter.setFocus()
                return True
            if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                self._open(self.view.currentIndex())
                return True
        return super().eventFilter(watched, event)

    def _set_up_view(self) -> None:
        view = self.view
        view.setModel(self._proxy)
        view.setAccessibleName(self._name)
        view.setSortingEnabled(True)
        view.sortByColumn(-1, Qt.SortOrder.AscendingOrder)
        view.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        view.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        view.setTabKeyNavigation(False)
        view.setShowGrid(False)
        view.setWordWrap(False)
        view.verticalHeader().hide()
        view.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        view.horizontalHeader().setHighlightSections(False)
        view.horizontalHeader().sortIndicatorChanged.connect(lambda *_: self._fit_columns())
        view.horizontalHeader().setResizeContentsPrecision(MEASURED_ROWS)
        view.horizontalHeader().setDefaultAlignment(Qt.AlignmentFlag.AlignLeft)
        view.doubleClicked.connect(self._open)
        view.selectionModel().currentRowChanged.connect(lambda *_: self.chosen.emit(self.selected()))
        view.installEventFilter(self)
        self._filter.setPlaceholderText(f"Filter {self._name.lower()}")
        self._filter.setAccessibleName(f"Filter {self._name}")
        self._filter.setClearButtonEnabled(True)
        self._filter.textChanged.connect(self._proxy.set_words)
        self._fit_columns()

    def _top_row(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.addWidget(self._filter, 1)
        for words, act in (("Copy table", self.copy), ("Export …", self.export)):
            button = QToolButton()
            button.setText(words)
            button.setProperty("flat", "true")
            button.setAccessibleName(f"{words} {self._name}")
            button.clicked.connect(act)
            row.addWidget(button)
        return row

    def _fit_columns(self) -> None:
        metrics = self.view.fontMetrics()
        self.view.verticalHeader().setDefaultSectionSize(round(metrics.height() * 1.55))
        self.view.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        char = metrics.averageCharWidth()
        for number in range(len(self.model.columns)):
            wanted = max(self.view.sizeHintForColumn(number) + char, self._heading_width(number))
            self.view.setColumnWidth(number, min(wanted, char * WIDEST_CHARS))
        self._take_missing_width(char)
        self._give_spare_width()
        self._fit_height()

    def _heading_width(self, number: int) -> int:
        """Of the heading alone; only the column that sorts needs room for its arrow."""
        header = self.view.horizontalHeader()
        words = str(self.model.headerData(number, Qt.Orientation.Horizontal))
        font = QFont(header.font())
        font.setWeight(QFont.Weight.DemiBold)
        metrics = QFontMetrics(font)
        arrow = 3 if header.sortIndicatorSection() == number else 0
        return metrics.size(0, words).width() + (HEADING_SIDES + arrow) * metrics.averageCharWidth()

    def _take_missing_width(self, char: int) -> None:
        """Where the columns do not quite fit, the widest words give way first, what names the row last.

        Numbers, dates and other short words are never cut. Where even that is not enough all keep their width
        and the table scrolls.
        """
        view, columns = self.view, self.model.columns
        widths = [view.columnWidth(i) for i in range(len(columns))]
        over = sum(widths) - view.viewport().width()
        wordy = [i for i, one in enumerate(columns) if not one.is_number and widths[i] > char * SHORT_CHARS]
        least = {i: char * (LEAST_NAME if columns[i].is_strong else LEAST_WORDS) for i in wordy}
        if not 0 < over <= sum(max(widths[i] - least[i], 0) for i in wordy):
            return
        for names in (False, True):
            giving = [i for i in wordy if columns[i].is_strong is names]
            while over > 0 and any(widths[i] > least[i] for i in giving):
                widths[max(giving, key=lambda i: widths[i])] -= 1
                over -= 1
        for number, width in enumerate(widths):
            view.setColumnWidth(number, width)

    def _give_spare_width(self) -> None:
        """Width that is left goes to the last column of words, so that numbers stay beside their names."""
        wordy = [i for i, column in enumerate(self.model.columns) if not column.is_number]
        total = sum(self.view.columnWidth(i) for i in range(len(self.model.columns)))
        spare = self.view.viewport().width() - total
        if wordy and spare > 0:
            self.view.setColumnWidth(wordy[-1], self.view.columnWidth(wordy[-1]) + spare)

    def _cells(self, row: Row) -> tuple[str | Decimal, ...]:
        return tuple(_cell(column.text(row), column.is_number) for column in self.model.columns)

    def _open(self, index: Index) -> None:
        if index.isValid():
            self.opened.emit(self.model.rows[self._proxy.mapToSource(index).row()])


def _cell(text: str, is_number: bool) -> str | Decimal:
    """A number stays a number in a spreadsheet; a word in its place ("unknown") stays a word."""
    if not is_number:
        return text
    try:
        return Decimal(text.replace(",", "").replace("−", "-").replace("$", ""))
    except InvalidOperation:
        return text


def _html(lines: Sequence[Sequence[str]]) -> str:
    from html import escape

    rows = "".join("<tr>" + "".join(f"<td>{escape(cell)}</td>" for cell in line) + "</tr>" for line in lines)
    return f"<table>{rows}</table>"

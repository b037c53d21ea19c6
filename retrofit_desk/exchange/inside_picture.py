"""A wall or floor drawn with everything in it: one printable page, or a picture for the telephone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING

from retrofit_desk.values.quantity import count_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

INK, PAPER, SOFT = "#25211b", "#fcf9f2", "#6f675a"
PHONE_DPI = 200
MARGIN_IN, LINE = 0.45, 1.32  # from the edge; height of a line of words, in its letters' size
POINTS_PER_IN = 72.0
HIGHEST_FACE = 0.36  # of the sheet
LEAST_FACE = 0.2
UNDER_FACE_LINES = 3.4
PHOTO_SHAPE, PHOTO_GAP_IN = 0.75, 0.2  # height of a photo's place to its width
LINES: dict[str, str | tuple[int, tuple[float, ...]]] = {
    "heating pipe": "-",
    "water pipe": "-",
    "drain": "-",
    "gas pipe": "-.",
    "cable": "--",
    "stud": (0, (8, 2)),
    "blocking": (0, (8, 2)),
    "thermal bridge": (0, (1, 1)),
}
MARKS = {"electrical box": "s", "shut-off": "X", "sensor": "^", "stud": "|", "thermal bridge": "D"}


@dataclass(frozen=True)
class _Sheet:
    """What is drawn on: its size, its letters and their number in a line, its photos and how many abreast."""

    size_in: tuple[float, float]
    text_pt: float
    columns: int
    most_photos: int
    across: int
    may_grow: bool = False
    """A picture may be as high as its words ask for; a printed page may not."""

    @property
    def line_in(self) -> float:
        return self.text_pt * LINE / POINTS_PER_IN

    @property
    def wide_in(self) -> float:
        return self.size_in[0] - 2 * MARGIN_IN


PAGE = _Sheet((8.5, 11.0), 9.0, 112, 6, 3)
PHONE = _Sheet((5.4, 9.6), 11.0, 56, 2, 2, may_grow=True)
"""Half as wide in the hand as drawn, so its letters are drawn larger."""

NEAR_THE_END = 0.93
"""Share of the face from which a number stands left of its mark, or below it."""


@dataclass(frozen=True)
class DrawnRect:
    """An opening, from the lower left corner, m."""

    name: str
    left_m: float
    bottom_m: float
    width_m: float
    height_m: float


@dataclass(frozen=True)
class DrawnThing:
    """Something inside: its kind, its words, its points in m; one point is a place, more are a run."""

    kind: str
    words: str
    path: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class DrawnPhoto:
    path: Path
    caption: str


@dataclass(frozen=True)
class InsidePicture:
    """Everything to draw. `meter`: length in m of one `unit` of the ruler."""

    title: str
    width_m: float
    height_m: float
    meter: float
    unit: str
    openings: tuple[DrawnRect, ...]
    things: tuple[DrawnThing, ...]
    lines: tuple[str, ...]
    photos: tuple[DrawnPhoto, ...]
    caution: str
    corner: str
    """Where its rulers begin and from where it is seen, in words."""


def write_inside_page(picture: InsidePicture, path: Path) -> Path:
    """One Letter page, PDF."""
    _figure(picture, PAGE).savefig(path, format="pdf")
    return path


def write_inside_phone(picture: InsidePicture, path: Path) -> Path:
    """1080 by 1920 points, or higher where its words ask for it, PNG."""
    _figure(picture, PHONE).savefig(path, format="png", dpi=PHONE_DPI)
    return path


def _figure(picture: InsidePicture, sheet: _Sheet) -> Figure:
    """The face, what is in it, and its newest photos, each right below the other."""
    from matplotlib.figure import Figure

    title = wrap(f"Inside: {picture.title}", round(sheet.columns * 0.62))
    caution = wrap(picture.caution, sheet.columns)
    lines = _lines(picture, sheet.columns)
    around = 2 * MARGIN_IN + (1.4 * len(title) + len(caution) + 3) * sheet.line_in
    words = (len(lines) + UNDER_FACE_LINES) * sheet.line_in
    sheet, rows = _room_for_words(sheet, _photo_rows(picture, sheet), around + words)
    below = sum(_row_high(sheet, row) for row in rows)
    face = sheet.size_in[1] - around - below - words

    figure = Figure(figsize=sheet.size_in, facecolor=PAPER)
    top = sheet.size_in[1] - MARGIN_IN
    top = _write(figure, sheet, top, title, INK, 1.4, weight="bold") - sheet.line_in
    top = _put_face(figure, sheet, top, picture, face)
    most = int((top - MARGIN_IN - below - (len(caution) + 2) * sheet.line_in) / sheet.line_in + 1e-6)
    top = _write(figure, sheet, top, _shortened(lines, most), INK) - sheet.line_in
    top = _write(figure, sheet, top, caution, SOFT) - sheet.line_in
    for row in rows:
        _put_photos(figure, sheet, top, row)
        top -= _row_high(sheet, row)
    return figure


def _photo_rows(picture: InsidePicture, sheet: _Sheet) -> list[Sequence[DrawnPhoto]]:
    photos = picture.photos[-sheet.most_photos :]
    return [photos[at : at + sheet.across] for at in range(0, len(photos), sheet.across)]


def _room_for_words(
    sheet: _Sheet, rows: list[Sequence[DrawnPhoto]], words_in: float
) -> tuple[_Sheet, list[Sequence[DrawnPhoto]]]:
    """Nothing told is cut: a picture grows, and on a page the oldest photos give way."""
    across, up = sheet.size_in

    def needed() -> float:
        return (words_in + sum(_row_high(sheet, row) for row in rows)) / (1 - LEAST_FACE)

    if sheet.may_grow:
        return replace(sheet, size_in=(across, max(up, needed()))), rows
    while rows and needed() > up:
        rows = rows[1:]
    return sheet, rows


def _lines(picture: InsidePicture, columns: int) -> list[str]:
    things = [f"{at}. {one.kind}: {one.words}" for at, one in enumerate(picture.things, start=1)]
    told = things or ["Nothing is marked on the drawing."]
    return [piece for text in (*told, "", *picture.lines) for piece in (wrap(text, columns) or [""])]


def _shortened(lines: list[str], most: int) -> list[str]:
    more = count_text(len(lines) - most + 1, "line")
    return lines if len(lines) <= most else [*lines[: most - 1], f"and {more} more"]


def _write(
    figure: Figure,
    sheet: _Sheet,
    top: float,
    lines: Sequence[str],
    color: str,
    scale: float = 1.0,
    weight: str = "normal",
) -> float:
    """Words from a height on, in inches; gives back where they end."""
    across, up = sheet.size_in
    figure.text(
        MARGIN_IN / across,
        top / up,
        "\n".join(lines),
        va="top",
        fontsize=sheet.text_pt * scale,
        fontweight=weight,
        color=color,
        linespacing=1.2,
        parse_math=False,
    )
    return top - len(lines) * sheet.line_in * scale


def _axes(figure: Figure, sheet: _Sheet, left: float, top: float, wide: float, high: float) -> Axes:
    across, up = sheet.size_in
    return figure.add_axes((left / across, (top - high) / up, wide / across, high / up))


def _put_face(figure: Figure, sheet: _Sheet, top: float, picture: InsidePicture, left_in: float) -> float:
    """`left_in`: height that the words leave it; it gives way to them down to a least share."""
    ruler = sheet.line_in * 1.6  # the figures at the left
    shape = picture.height_m / picture.width_m
    up = sheet.size_in[1]
    highest = min(HIGHEST_FACE * up, max(left_in, LEAST_FACE * up))
    wide = min(sheet.wide_in - ruler, highest / shape)
    axes = _axes(figure, sheet, MARGIN_IN + ruler, top, wide, wide * shape)
    _face(axes, picture, sheet.text_pt)
    return top - wide * shape - UNDER_FACE_LINES * sheet.line_in


def _photo_wide(sheet: _Sheet) -> float:
    return (sheet.wide_in - PHOTO_GAP_IN * (sheet.across - 1)) / sheet.across


def _caption(sheet: _Sheet, photo: DrawnPhoto) -> list[str]:
    return wrap(photo.caption, round(sheet.columns * 0.95 / sheet.across))


def _caption_high(sheet: _Sheet, row: Sequence[DrawnPhoto]) -> float:
    return (max(len(_caption(sheet, photo)) for photo in row) + 0.4) * sheet.line_in


def _row_high(sheet: _Sheet, row: Sequence[DrawnPhoto]) -> float:
    return _caption_high(sheet, row) + _photo_wide(sheet) * PHOTO_SHAPE + PHOTO_GAP_IN


def _put_photos(figure: Figure, sheet: _Sheet, top: float, row: Sequence[DrawnPhoto]) -> None:
    wide = _photo_wide(sheet)
    for at, photo in enumerate(row):
        left = MARGIN_IN + at * (wide + PHOTO_GAP_IN)
        axes = _axes(figure, sheet, left, top - _caption_high(sheet, row), wide, wide * PHOTO_SHAPE)
        _photo(axes, photo, _caption(sheet, photo), sheet.text_pt)


def _face(axes: Axes, picture: InsidePicture, text_pt: float) -> None:
    from matplotlib.patches import Rectangle

    per = picture.meter
    for one in picture.openings:
        box = Rectangle(
            (one.left_m / per, one.bottom_m / per),
            one.width_m / per,
            one.height_m / per,
            fill=False,
            ec=SOFT,
            hatch="//",
        )
        axes.add_patch(box)
        middle = ((one.left_m + one.width_m / 2) / per, (one.bottom_m + one.height_m / 2) / per)
        ground = {"facecolor": PAPER, "edgecolor": "none", "pad": 2.0}
        axes.text(
            *middle, one.name, fontsize=text_pt * 0.9, color=SOFT, ha="center", va="center", bbox=ground
        )
    axes.set_facecolor(PAPER)
    axes.set_xlim(0, picture.width_m / per)
    axes.set_ylim(0, picture.height_m / per)
    for number, thing in enumerate(picture.things, start=1):
        _draw_thing(axes, number, thing, picture, text_pt)
    words = f"{picture.unit} from the {picture.corner}"
    axes.set_xlabel(words, color=SOFT, fontsize=text_pt * 0.9, loc="left")
    axes.tick_params(labelsize=text_pt * 0.9, colors=SOFT)
    axes.grid(visible=True, lw=0.3, color=SOFT)
    for side in axes.spines.values():
        side.set(color=INK, linewidth=1.6)


def _draw_thing(axes: Axes, number: int, thing: DrawnThing, picture: InsidePicture, text_pt: float) -> None:
    per = picture.meter
    xs, ys = [x / per for x, _ in thing.path], [y / per for _, y in thing.path]
    if not xs:
        return
    if len(xs) == 1:
        axes.plot(xs, ys, MARKS.get(thing.kind, "o"), color=INK, ms=7, mfc=PAPER, clip_on=False)
    else:
        axes.plot(xs, ys, linestyle=LINES.get(thing.kind, ":"), color=INK, lw=2.0)
    is_at_the_end = xs[0] * per > NEAR_THE_END * picture.width_m  # its number would lie on the frame
    is_at_the_top = ys[0] * per > NEAR_THE_END * picture.height_m
    axes.annotate(
        str(number),
        (xs[0], ys[0]),
        fontsize=text_pt,
        fontweight="bold",
        color=INK,
        ha="right" if is_at_the_end else "left",
        va="top" if is_at_the_top else "baseline",
        xytext=(-5 if is_at_the_end else 5, -5 if is_at_the_top else 5),
        textcoords="offset points",
        bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.6, "alpha": 0.8},
    )


def _photo(axes: Axes, photo: DrawnPhoto, lines: Sequence[str], text_pt: float) -> None:
    from PIL import Image, UnidentifiedImageError

    axes.set_axis_off()
    try:
        with Image.open(photo.path) as image:
            image.thumbnail((900, 900))
            axes.imshow(image.convert("RGB"))
    except (OSError, UnidentifiedImageError, ValueError):
        axes.text(0.5, 0.5, "the photo cannot be read", ha="center", fontsize=text_pt * 0.9, color=SOFT)
    axes.set_title("\n".join(lines), fontsize=text_pt * 0.9, color=SOFT, loc="left", pad=3)

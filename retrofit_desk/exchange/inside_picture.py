"""A wall or floor drawn with everything in it: one printable page, or a picture for the telephone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

INK, PAPER, SOFT = "#25211b", "#fcf9f2", "#6f675a"
PAGE_IN, PHONE_IN, PHONE_DPI = (8.5, 11.0), (5.4, 9.6), 200
MOST_PHOTOS_PAGE, MOST_PHOTOS_PHONE = 6, 2
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


def write_inside_page(picture: InsidePicture, path: Path) -> Path:
    """One Letter page, PDF."""
    figure = _figure(picture, PAGE_IN, 100, MOST_PHOTOS_PAGE, 3)
    figure.savefig(path, format="pdf")
    return path


def write_inside_phone(picture: InsidePicture, path: Path) -> Path:
    """1080 by 1920 points, PNG."""
    figure = _figure(picture, PHONE_IN, 52, MOST_PHOTOS_PHONE, 2)
    figure.savefig(path, format="png", dpi=PHONE_DPI)
    return path


def _figure(
    picture: InsidePicture, size_in: tuple[float, float], columns: int, most_photos: int, across: int
) -> Figure:
    from matplotlib.figure import Figure
    from matplotlib.layout_engine import ConstrainedLayoutEngine

    figure = Figure(figsize=size_in, facecolor=PAPER, layout=ConstrainedLayoutEngine(w_pad=0.25, h_pad=0.2))
    photos = picture.photos[-most_photos:]
    rows = -(-len(photos) // across)
    heights = (2.0, 1.7, 0.9 * rows) if rows else (2.0, 1.7)
    grid = figure.add_gridspec(len(heights), 1, height_ratios=heights)
    parts = [figure.add_subfigure(grid[at]) for at in range(len(heights))]
    _face(parts[0].subplots(), picture)
    _words(parts[1].subplots(), picture, columns)
    if rows:
        _photos(list(parts[2].subplots(rows, across, squeeze=False).ravel()), photos)
    figure.suptitle(f"Inside: {picture.title}", color=INK, fontsize=13, fontweight="bold")
    return figure


def _face(axes: Axes, picture: InsidePicture) -> None:
    from matplotlib.patches import Rectangle

    per = picture.meter
    axes.add_patch(
        Rectangle((0, 0), picture.width_m / per, picture.height_m / per, fill=False, ec=INK, lw=1.6)
    )
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
        axes.annotate(
            one.name, (one.left_m / per, (one.bottom_m + one.height_m) / per), fontsize=7, color=SOFT
        )
    for number, thing in enumerate(picture.things, start=1):
        _draw_thing(axes, number, thing, per)
    axes.set_aspect("equal")
    axes.set_xlim(-0.02 * picture.width_m / per, 1.02 * picture.width_m / per)
    axes.set_ylim(-0.02 * picture.height_m / per, 1.05 * picture.height_m / per)
    axes.set_xlabel(f"{picture.unit} from the lower left corner, seen from the room", color=SOFT, fontsize=8)
    axes.tick_params(labelsize=7, colors=SOFT)
    axes.grid(visible=True, lw=0.3, color=SOFT)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)


def _draw_thing(axes: Axes, number: int, thing: DrawnThing, per: float) -> None:
    xs, ys = [x / per for x, _ in thing.path], [y / per for _, y in thing.path]
    if not xs:
        return
    if len(xs) == 1:
        axes.plot(xs, ys, MARKS.get(thing.kind, "o"), color=INK, ms=7, mfc=PAPER)
    else:
        axes.plot(xs, ys, linestyle=LINES.get(thing.kind, ":"), color=INK, lw=2.0)
    axes.annotate(
        str(number), (xs[0], ys[0]), fontsize=8, fontweight="bold", xytext=(4, 4), textcoords="offset points"
    )


def _words(axes: Axes, picture: InsidePicture, columns: int) -> None:
    axes.set_axis_off()
    things = [f"{at}. {one.kind}: {one.words}" for at, one in enumerate(picture.things, start=1)]
    told = things or ["Nothing is marked on the drawing."]
    lines = [piece for text in (*told, "", *picture.lines) for piece in (wrap(text, columns) or [""])]
    caution = "\n".join(wrap(picture.caution, columns))
    most = 24
    shown = lines if len(lines) <= most else [*lines[: most - 1], f"and {len(lines) - most + 1} lines more"]
    axes.text(
        0, 1, "\n".join(shown), va="top", fontsize=8, color=INK, transform=axes.transAxes, parse_math=False
    )
    axes.text(0, 0, caution, va="bottom", fontsize=7, color=SOFT, transform=axes.transAxes, parse_math=False)


def _photos(places: Sequence[Axes], photos: Sequence[DrawnPhoto]) -> None:
    from PIL import Image, UnidentifiedImageError

    for place in places:
        place.set_axis_off()
    for place, photo in zip(places, photos, strict=False):
        try:
            with Image.open(photo.path) as image:
                image.thumbnail((900, 900))
                place.imshow(image.convert("RGB"))
            caption = photo.caption
        except (OSError, UnidentifiedImageError, ValueError):
            caption = f"{photo.caption} (the photo cannot be read)"
        place.set_title(caption, fontsize=7, color=SOFT)

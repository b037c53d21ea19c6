"""Sets filed pages and photos into the frames that the packet's own sheets left open for them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, cast

from pypdf import PdfWriter
from pypdf.generic import (
    ArrayObject,
    DecodedStreamObject,
    DictionaryObject,
    FloatObject,
    NameObject,
    NumberObject,
    StreamObject,
)

from retrofit_desk.paperwork.papers import Picture

Matrix = tuple[float, float, float, float, float, float]


@dataclass(frozen=True)
class Slot:
    """An open frame: packet page counted from 0, its rectangle in points, and the page that belongs there."""

    paper: int
    """Number of the paper, from 1."""
    page_index: int
    x: float
    y: float
    width: float
    height: float
    source: Any
    """A `pypdf` page object or a `Picture`."""


class PageNotCarried(Exception):
    """A filed page opened but is too damaged to be carried over; `paper` is its paper's number."""

    def __init__(self, paper: int) -> None:
        super().__init__(f"a page of paper {paper} could not be carried over")
        self.paper = paper


def fill_slots(writer: PdfWriter, slots: Sequence[Slot]) -> None:
    """Draw each source page into its slot, to scale.

    Only what a page shows is carried over (content, fonts, images, the look of filled-in fields): scripts,
    actions, links and attached files of a filed paper stay behind. Raises `PageNotCarried`.
    """
    for slot in slots:
        try:
            _fill(writer, slot)
        except Exception as error:  # a damaged page may fail anywhere in the parser
            raise PageNotCarried(slot.paper) from error


def _fill(writer: PdfWriter, slot: Slot) -> None:
    target = writer.pages[slot.page_index]
    resources, named = _own_resources(target)
    commands = []
    for shown, matrices in _shown(slot, writer):
        name = f"/Filed{len(named)}"
        named[NameObject(name)] = shown.indirect_reference
        turns = " ".join(f"{_six(matrix)} cm" for matrix in matrices)
        commands.append(f"q {turns} {name} Do Q")
    target[NameObject("/Resources")] = resources
    drawn = DecodedStreamObject()
    drawn.set_data("\n".join(commands).encode("ascii"))
    own = target.raw_get("/Contents")
    before = list(own) if isinstance(own, ArrayObject) else [own]
    target[NameObject("/Contents")] = ArrayObject([*before, writer._add_object(drawn)])


def _own_resources(target: Any) -> tuple[DictionaryObject, DictionaryObject]:
    """Copies of the page's resources and of its named drawings: the sheets share one dictionary."""
    resources, named = DictionaryObject(), DictionaryObject()
    resources.update(target["/Resources"].get_object())
    if "/XObject" in resources:
        named.update(cast(DictionaryObject, resources["/XObject"].get_object()))
    resources[NameObject("/XObject")] = named
    return resources, named


def _shown(slot: Slot, writer: PdfWriter) -> list[tuple[StreamObject, list[Matrix]]]:
    """What is drawn in a slot, in order, each under its transformations."""
    if isinstance(slot.source, Picture):
        return [(_image(slot.source, writer), [(slot.width, 0, 0, slot.height, slot.x, slot.y)])]
    placed = _placement(slot)
    looks = [(look.clone(writer), [placed, matrix]) for look, matrix in _field_looks(slot.source)]
    return [(_page_form(slot.source, writer), [placed]), *looks]


def _image(picture: Picture, writer: PdfWriter) -> StreamObject:
    image = StreamObject()
    image.set_data(picture.jpeg)
    image.update(
        {
            NameObject("/Type"): NameObject("/XObject"),
            NameObject("/Subtype"): NameObject("/Image"),
            NameObject("/Width"): NumberObject(picture.width_px),
            NameObject("/Height"): NumberObject(picture.height_px),
            NameObject("/ColorSpace"): NameObject("/DeviceGray" if picture.is_gray else "/DeviceRGB"),
            NameObject("/BitsPerComponent"): NumberObject(8),
            NameObject("/Filter"): NameObject("/DCTDecode"),
        }
    )
    writer._add_object(image)
    return image


def _six(matrix: Matrix) -> str:
    return " ".join(f"{part:.5f}" for part in matrix)


def _placement(slot: Slot) -> Matrix:
    """From the source page's coordinates to the slot: turned, made smaller if need be, set at the top."""
    box = slot.source.cropbox
    turn = (int(slot.source.rotation) + _quarter_turn(slot)) % 360
    left, bottom = float(box.left), float(box.bottom)
    wide, tall = float(box.width), float(box.height)
    upright = (tall, wide) if turn in (90, 270) else (wide, tall)
    scale = min(slot.width / upright[0], slot.height / upright[1], 1.0)
    x = slot.x + (slot.width - upright[0] * scale) / 2
    y = slot.y + (slot.height - upright[1] * scale)
    turned: dict[int, Matrix] = {
        0: (scale, 0, 0, scale, x - left * scale, y - bottom * scale),
        90: (0, -scale, scale, 0, x - bottom * scale, y + (wide + left) * scale),
        180: (-scale, 0, 0, -scale, x + (wide + left) * scale, y + (tall + bottom) * scale),
        270: (0, scale, -scale, 0, x + (tall + bottom) * scale, y - left * scale),
    }
    return turned[turn]


def _quarter_turn(slot: Slot) -> int:
    """A wide drawing is laid on its side when that shows it a fifth larger or more."""
    wide, tall = float(slot.source.cropbox.width), float(slot.source.cropbox.height)
    if int(slot.source.rotation) % 180:
        wide, tall = tall, wide
    as_is = min(slot.width / wide, slot.height / tall, 1.0)
    on_side = min(slot.width / tall, slot.height / wide, 1.0)
    return 270 if wide > tall and on_side > 1.2 * as_is else 0


def _page_form(page: Any, writer: PdfWriter) -> StreamObject:
    """The page's content as a form, clipped to what the page shows."""
    box = page.cropbox
    form = _content(page, writer)
    form[NameObject("/Type")] = NameObject("/XObject")
    form[NameObject("/Subtype")] = NameObject("/Form")
    form[NameObject("/BBox")] = ArrayObject(
        FloatObject(edge) for edge in (box.left, box.bottom, box.right, box.top)
    )
    resources = page.get("/Resources")
    if resources is not None:
        form[NameObject("/Resources")] = resources.get_object().clone(writer)
    return form


def _content(page: Any, writer: PdfWriter) -> StreamObject:
    raw = page.get("/Contents")
    raw = raw.get_object() if raw is not None else None
    if isinstance(raw, StreamObject):
        # carried over as it is packed; its own copy, since two pages may share one stream
        return cast(StreamObject, raw.clone(writer, force_duplicate=True))
    parts = [part.get_object() for part in raw] if isinstance(raw, ArrayObject) else []
    plain = DecodedStreamObject()
    plain.set_data(b"\n".join(part.get_data() for part in parts if isinstance(part, StreamObject)))
    form = plain.flate_encode()
    writer._add_object(form)
    return form


def _field_looks(page: Any) -> list[tuple[Any, Matrix]]:
    """What fields, stamps and notes look like, and where they stand: ISO 32000-1, 12.5.5 (from memory)."""
    found = []
    annotations = page.get("/Annots")
    for reference in annotations.get_object() if annotations is not None else ():
        annotation = reference.get_object()
        hidden = int(annotation.get("/F", NumberObject(0))) & 2
        look = None if hidden or annotation.get("/Subtype") == "/Popup" else _look(annotation)
        if look is not None and "/BBox" in look and "/Rect" in annotation:
            matrix = _look_matrix(look, [float(edge) for edge in annotation["/Rect"]])
            if matrix is not None:
                found.append((look, matrix))
    return found


def _look(annotation: Any) -> Any | None:
    looks = annotation.get("/AP")
    normal = looks.get_object().get("/N") if looks is not None else None
    normal = normal.get_object() if normal is not None else None
    if isinstance(normal, StreamObject):
        return normal
    chosen = normal.get(annotation.get("/AS")) if isinstance(normal, DictionaryObject) else None
    chosen = chosen.get_object() if chosen is not None else None
    return chosen if isinstance(chosen, StreamObject) else None


def _look_matrix(look: Any, rect: list[float]) -> Matrix | None:
    own = [float(part) for part in look.get("/Matrix", (1, 0, 0, 1, 0, 0))]
    x0, y0, x1, y1 = (float(edge) for edge in look["/BBox"])
    corners = [
        (own[0] * x + own[2] * y + own[4], own[1] * x + own[3] * y + own[5])
        for x in (x0, x1)
        for y in (y0, y1)
    ]
    left, right = min(x for x, _ in corners), max(x for x, _ in corners)
    low, high = min(y for _, y in corners), max(y for _, y in corners)
    if right - left <= 0 or high - low <= 0:
        return None
    across = abs(rect[2] - rect[0]) / (right - left)
    up = abs(rect[3] - rect[1]) / (high - low)
    return across, 0.0, 0.0, up, min(rect[0], rect[2]) - left * across, min(rect[1], rect[3]) - low * up

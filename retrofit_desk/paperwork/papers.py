"""Filed papers as pages of a packet: opened with care, and told of when they cannot be shown."""

from __future__ import annotations

import hashlib
import logging
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from retrofit_desk.paperwork.contents import PaperItem, ReadinessLine
from retrofit_desk.rules.matching import Readiness

LARGEST_BYTES = 60_000_000
MOST_PAGES = 300
LONG_SIDE_PX = 1800
"""A photo is drawn at most this large: some 250 dots per inch on a letter page."""

DAMAGED = "is damaged and cannot be read"

log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Picture:
    """A photo ready to be drawn: JPEG bytes without any of the camera's notes (place, time, device)."""

    jpeg: bytes
    width_px: int
    height_px: int
    is_gray: bool = False


@dataclass(frozen=True)
class OpenedPaper:
    """A paper with its number in the packet. Exactly one of `pages`, `picture` and `trouble` is there."""

    number: int
    item: PaperItem
    pages: tuple[Any, ...] = ()
    """`pypdf` page objects."""
    picture: Picture | None = None
    trouble: str = ""
    remark: str = ""

    @property
    def key(self) -> str:
        return f"paper-{self.number}"

    @property
    def title(self) -> str:
        return f"{self.number}. {self.item.title}"


def open_papers(items: tuple[PaperItem, ...]) -> tuple[OpenedPaper, ...]:
    """Open every paper; none of them can stop the packet."""
    return tuple(_open(number, item) for number, item in enumerate(items, start=1))


def with_trouble(papers: tuple[OpenedPaper, ...], number: int, trouble: str) -> tuple[OpenedPaper, ...]:
    """The same papers, one of them not to be shown after all."""
    return tuple(
        OpenedPaper(number, paper.item, trouble=trouble) if paper.number == number else paper
        for paper in papers
    )


def trouble_lines(papers: tuple[OpenedPaper, ...]) -> tuple[ReadinessLine, ...]:
    """Readiness lines for the papers that could not be shown."""
    return tuple(
        ReadinessLine(
            paper.item.title,
            Readiness.MISSING,
            f"Paper {paper.number} {paper.trouble}.",
            "File the original again under Papers & photos.",
        )
        for paper in papers
        if paper.trouble
    )


def _open(number: int, item: PaperItem) -> OpenedPaper:
    try:
        content = item.path.read_bytes() if item.path.stat().st_size <= LARGEST_BYTES else None
    except OSError:
        return OpenedPaper(number, item, trouble="is gone from the papers folder; its record was kept")
    if content is None:
        return OpenedPaper(number, item, trouble=f"is larger than {LARGEST_BYTES // 1_000_000} MB")
    if not content:
        return OpenedPaper(number, item, trouble="is an empty file")
    if item.sha256 and hashlib.sha256(content).hexdigest() != item.sha256:
        return OpenedPaper(number, item, trouble="was changed since it was filed, so it is not shown")
    if b"%PDF-" in content[:1024]:
        return _open_pdf(number, item, content)
    return _open_picture(number, item, content)


def _open_pdf(number: int, item: PaperItem, content: bytes) -> OpenedPaper:
    from pypdf import PdfReader
    from pypdf.errors import DependencyError, FileNotDecryptedError

    try:
        reader = PdfReader(BytesIO(content))
        locked = reader.is_encrypted
        if len(reader.pages) > MOST_PAGES:
            return OpenedPaper(number, item, trouble=f"has more than {MOST_PAGES} pages")
        pages = tuple(reader.pages)
        sound = all(_size(page) for page in pages)
        remark = _remark(pages, locked)
    except (FileNotDecryptedError, DependencyError):
        return OpenedPaper(number, item, trouble="is locked with a password")
    except Exception:  # a malformed file may fail anywhere in the parser; the packet goes on without it
        log.info("paper could not be read: %s", item.path, exc_info=True)
        return OpenedPaper(number, item, trouble=DAMAGED)
    if not pages or not sound:
        return OpenedPaper(number, item, trouble="has no page that can be shown")
    return OpenedPaper(number, item, pages=pages, remark=remark)


def _remark(pages: tuple[Any, ...], locked: bool) -> str:
    remarks = ["its maker restricted what may be done with it"] if locked else []
    remarks += (
        ["a filled-in field may not show: print the form to a new PDF"] if _has_bare_field(pages) else []
    )
    return "; ".join(remarks)


def _has_bare_field(pages: tuple[Any, ...]) -> bool:
    """A form field with a value but no picture of it: only a form program could draw it."""
    for page in pages:
        for reference in page.get("/Annots") or ():
            field = reference.get_object()
            if field.get("/Subtype") == "/Widget" and field.get("/V") and "/AP" not in field:
                return True
    return False


def _size(page: Any) -> bool:
    return bool(page.cropbox.width > 1 and page.cropbox.height > 1)


def _open_picture(number: int, item: PaperItem, content: bytes) -> OpenedPaper:
    from PIL import Image, UnidentifiedImageError

    try:
        picture, frames = _picture(content)
        remark = f"only the first of its {frames} pages is shown" if frames > 1 else ""
        return OpenedPaper(number, item, picture=picture, remark=remark)
    except UnidentifiedImageError:
        return OpenedPaper(number, item, trouble="is neither a PDF nor a picture that can be drawn")
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        log.info("picture could not be read: %s", item.path, exc_info=True)
        return OpenedPaper(number, item, trouble="is a damaged picture and cannot be drawn")


def _picture(content: bytes) -> tuple[Picture, int]:
    """The first frame, and how many there are (a scanner's TIFF may have many)."""
    from PIL import Image, ImageOps

    with Image.open(BytesIO(content)) as image:
        width, height = image.size
        frames = getattr(image, "n_frames", 1)
        if image.format == "JPEG" and _can_stay(image):
            # an eighth of the size is enough to find out whether it is whole
            image.draft(image.mode, (width // 8, height // 8))
            image.load()
            return Picture(without_notes(content), width, height, is_gray=image.mode == "L"), frames
        image.draft("RGB", (LONG_SIDE_PX, LONG_SIDE_PX))
        image.load()
        upright = ImageOps.exif_transpose(image)
    flat = _on_white(upright)
    flat.thumbnail((LONG_SIDE_PX, LONG_SIDE_PX))
    held = BytesIO()
    flat.save(held, "JPEG", quality=86)
    return Picture(held.getvalue(), flat.width, flat.height, is_gray=flat.mode == "L"), frames


def _can_stay(image: Any) -> bool:
    """Small enough, upright, and in colors every reader of PDF shows alike."""
    is_upright = image.getexif().get(0x0112, 1) == 1
    return is_upright and image.mode in ("RGB", "L") and max(image.size) <= LONG_SIDE_PX


def without_notes(jpeg: bytes) -> bytes:
    """The same picture without the camera's notes and comments: ITU-T T.81, annex B.1 (from memory).

    Kept of the application segments are only APP0 (JFIF) and APP14, which says how colors are stored.
    """
    kept, at = [jpeg[:2]], 2
    while at + 4 <= len(jpeg) and jpeg[at] == 0xFF and jpeg[at + 1] != 0xDA:
        marker, length = jpeg[at + 1], int.from_bytes(jpeg[at + 2 : at + 4])
        if not (0xE1 <= marker <= 0xED or marker in (0xEF, 0xFE)):
            kept.append(jpeg[at : at + 2 + length])
        at += 2 + length
    return b"".join([*kept, jpeg[at:]])


def _on_white(image: Any) -> Any:
    from PIL import Image

    if image.mode in ("RGB", "L"):
        return image.copy()
    with_alpha = image.convert("RGBA")
    ground = Image.new("RGB", image.size, "white")
    ground.paste(with_alpha, mask=with_alpha.getchannel("A"))
    return ground

"""Papers as they come into a house: photos from a telephone, one-page letters."""

from __future__ import annotations

import io
from pathlib import Path

from PIL import Image, ImageDraw


def a_photo(path: Path, words: str = "") -> Path:
    """A small picture, as a telephone would leave it; `words` make it a picture of its own."""
    held = io.BytesIO()
    picture = Image.new("RGB", (320, 240), (150, 140, 120))
    ImageDraw.Draw(picture).text((12, 12), words, fill=(30, 30, 30))
    picture.save(held, "JPEG")
    path.write_bytes(held.getvalue())
    return path


def a_letter(path: Path, words: str) -> Path:
    """A one-page PDF."""
    from reportlab.pdfgen.canvas import Canvas

    canvas = Canvas(str(path), invariant=1)
    for line, text in enumerate(words.splitlines()):
        canvas.drawString(72, 720 - 16 * line, text)
    canvas.save()
    return path

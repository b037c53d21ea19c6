"""Draws the sample house's photos: walls with a tape in view, plates, pipes, gauges."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from io import BytesIO
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL import Image, ImageDraw, ImageFont

SIZE = (880, 660)
Ink = tuple[int, int, int]
_WOOD: Ink = (196, 164, 120)
_DARK: Ink = (60, 52, 44)
_WOOL: Ink = (214, 196, 160)
_PALE: Ink = (226, 222, 212)
_PIPE: Ink = (176, 84, 60)
_TAPE: Ink = (238, 206, 70)


@dataclass(frozen=True)
class Photo:
    """What a drawn photo shows; `lines` are the words on a plate, a slate or a gauge."""

    scene: str
    taken: date
    lines: tuple[str, ...] = ()
    tape: bool = False
    place: tuple[float, float] | None = None


def photo_jpeg(photo: Photo) -> bytes:
    """The photo as JPEG with its day (and place, if any) inside; the same photo gives the same bytes."""
    from PIL import Image, ImageDraw

    chance = random.Random(repr(photo))
    image = Image.new("RGB", SIZE, _PALE)
    draw = ImageDraw.Draw(image)
    _SCENES[photo.scene](draw, chance, photo)
    if photo.tape:
        _tape(draw)
    if photo.scene not in {"plate", "gauge"}:
        _slate(draw, photo.lines)
    _grain(image, chance)
    held = BytesIO()
    image.save(held, "JPEG", quality=62, exif=_exif(photo))
    return held.getvalue()


def _exif(photo: Photo) -> Image.Exif:
    from PIL import Image

    exif = Image.Exif()
    exif[0x9003] = exif[0x0132] = f"{photo.taken:%Y:%m:%d} 10:24:00"
    if photo.place is not None:
        north, east = photo.place
        gps = exif.get_ifd(0x8825)
        gps[1], gps[2] = "N" if north >= 0 else "S", _degrees(abs(north))
        gps[3], gps[4] = "E" if east >= 0 else "W", _degrees(abs(east))
    return exif


def _degrees(value: float) -> tuple[float, float, float]:
    whole = int(value)
    minutes = (value - whole) * 60
    return float(whole), float(int(minutes)), round((minutes - int(minutes)) * 60, 2)


def _studs(draw: ImageDraw.ImageDraw, chance: random.Random, photo: Photo) -> None:
    draw.rectangle((0, 0, *SIZE), fill=(150, 138, 120))
    for x in range(20, SIZE[0], 140):
        draw.rectangle((x, 0, x + 34, SIZE[1]), fill=_WOOD)
        for _ in range(6):
            y = chance.randrange(SIZE[1])
            draw.line((x + 4, y, x + 30, y + chance.randrange(-8, 8)), fill=(170, 136, 92), width=2)
    draw.rectangle((0, SIZE[1] - 60, SIZE[0], SIZE[1]), fill=_WOOD)
    y = 300 + chance.randrange(-40, 40)
    draw.line((0, y, SIZE[0], y + 20), fill=(240, 220, 90), width=9)
    draw.rectangle((330, y - 50, 400, y + 40), fill=(70, 96, 140))


def _batts(draw: ImageDraw.ImageDraw, chance: random.Random, photo: Photo) -> None:
    _studs(draw, chance, photo)
    for x in range(54, SIZE[0], 140):
        draw.rectangle((x, 0, x + 106, SIZE[1] - 60), fill=_WOOL)
        for _ in range(90):
            a, b = x + chance.randrange(100), chance.randrange(SIZE[1] - 70)
            draw.line((a, b, a + chance.randrange(4, 14), b + chance.randrange(-5, 5)), fill=(176, 150, 108))


def _board(draw: ImageDraw.ImageDraw, chance: random.Random, photo: Photo) -> None:
    draw.rectangle((0, 0, *SIZE), fill=(182, 150, 104))
    for y in range(0, SIZE[1], 150):
        draw.line((0, y, SIZE[0], y), fill=_DARK, width=2)
        for x in range((y // 150 % 2) * 160, SIZE[0], 320):
            draw.line((x, y, x, y + 150), fill=_DARK, width=2)
            draw.ellipse((x + 30, y + 40, x + 46, y + 56), fill=(120, 120, 118))
    for x in range(80, SIZE[0], 320):
        draw.rectangle((x, 0, x + 40, SIZE[1]), fill=_WOOD, outline=_DARK)


def _pipes(draw: ImageDraw.ImageDraw, chance: random.Random, photo: Photo) -> None:
    draw.rectangle((0, 0, *SIZE), fill=(188, 186, 180))
    step = 46
    for i, y in enumerate(range(40, SIZE[1] - 40, step)):
        draw.line((50, y, SIZE[0] - 50, y), fill=_PIPE, width=12)
        x = SIZE[0] - 50 if i % 2 == 0 else 50
        start, end = (-90, 90) if i % 2 == 0 else (90, 270)
        draw.arc((x - 23, y, x + 23, y + step), start, end, fill=_PIPE, width=12)
    for x in range(140, SIZE[0], 180):
        draw.line((x, 0, x, SIZE[1]), fill=(130, 128, 124), width=3)


def _ground(draw: ImageDraw.ImageDraw, chance: random.Random, photo: Photo) -> None:
    draw.rectangle((0, 0, *SIZE), fill=(138, 92, 62))
    draw.polygon([(60, 0), (520, 0), (700, SIZE[1]), (160, SIZE[1])], fill=(96, 62, 44))
    for i in range(3):
        x, y = 300 + 70 * i, 110 + 190 * i
        draw.ellipse((x - 30, y - 16, x + 30, y + 16), fill=(44, 34, 30))
        draw.line((x - 8, y, x - 8, y + 130), fill=(20, 20, 20), width=9)
        draw.line((x + 8, y, x + 8, y + 130), fill=(20, 20, 20), width=9)
    for _ in range(300):
        a, b = chance.randrange(SIZE[0]), chance.randrange(SIZE[1])
        draw.ellipse((a, b, a + 4, b + 3), fill=(160, 112, 78))


def _room(draw: ImageDraw.ImageDraw, chance: random.Random, photo: Photo) -> None:
    draw.rectangle((0, 0, SIZE[0], 470), fill=(222, 214, 198))
    draw.rectangle((0, 470, *SIZE), fill=(150, 128, 104))
    draw.rectangle((300, 90, 560, 560), fill=(236, 236, 232), outline=_DARK, width=3)
    draw.rectangle((330, 130, 530, 190), fill=(90, 96, 100))
    draw.line((430, 90, 430, 0), fill=_PIPE, width=10)
    draw.line((470, 90, 470, 0), fill=(80, 110, 150), width=10)


def _outside(draw: ImageDraw.ImageDraw, chance: random.Random, photo: Photo) -> None:
    draw.rectangle((0, 0, *SIZE), fill=(196, 214, 226))
    draw.rectangle((0, 520, *SIZE), fill=(122, 140, 92))
    draw.polygon([(80, 320), (300, 200), (520, 320)], fill=(96, 84, 78))
    draw.rectangle((100, 320, 500, 540), fill=(158, 88, 68))
    draw.polygon([(480, 220), (650, 130), (830, 220)], fill=(96, 84, 78))
    draw.rectangle((500, 220, 810, 540), fill=(206, 196, 174))
    for x in (140, 250, 380, 540, 690):
        draw.rectangle((x, 370, x + 70, 440), fill=(70, 88, 100), outline="white", width=4)


def _window(draw: ImageDraw.ImageDraw, chance: random.Random, photo: Photo) -> None:
    draw.rectangle((0, 0, *SIZE), fill=(158, 88, 68))
    for y in range(0, SIZE[1], 30):
        draw.line((0, y, SIZE[0], y), fill=(196, 180, 166), width=2)
    draw.rectangle((190, 110, 690, 560), fill=(120, 150, 164), outline=(235, 235, 230), width=18)
    draw.line((440, 110, 440, 560), fill=(210, 210, 206), width=14)
    draw.polygon([(190, 110), (330, 110), (190, 330)], fill=(168, 192, 202))


def _plate(draw: ImageDraw.ImageDraw, chance: random.Random, photo: Photo) -> None:
    draw.rectangle((0, 0, *SIZE), fill=(120, 124, 126))
    draw.rectangle((70, 90, SIZE[0] - 70, SIZE[1] - 90), fill=(232, 232, 226), outline=_DARK, width=4)
    for i, line in enumerate(photo.lines):
        draw.text((110, 130 + 66 * i), line, fill="black", font=_font(40))


def _gauge(draw: ImageDraw.ImageDraw, chance: random.Random, photo: Photo) -> None:
    draw.rectangle((0, 0, *SIZE), fill=(150, 146, 138))
    draw.ellipse((190, 60, 690, 560), fill="white", outline=_DARK, width=10)
    for i in range(11):
        draw.arc((220, 90, 660, 530), 135 + 27 * i, 137 + 27 * i, fill="black", width=26)
    draw.line((440, 310, 520, 160), fill=(170, 40, 30), width=8)
    for i, line in enumerate(photo.lines):
        draw.text((300, 370 + 46 * i), line, fill="black", font=_font(32))


_SCENES: dict[str, Callable[[ImageDraw.ImageDraw, random.Random, Photo], None]] = {
    "studs": _studs,
    "batts": _batts,
    "board": _board,
    "pipes": _pipes,
    "ground": _ground,
    "room": _room,
    "outside": _outside,
    "window": _window,
    "plate": _plate,
    "gauge": _gauge,
}


def _tape(draw: ImageDraw.ImageDraw) -> None:
    """A measuring tape along the lower edge, in inches."""
    top = SIZE[1] - 130
    draw.rectangle((0, top, SIZE[0], top + 46), fill=_TAPE)
    for inch, x in enumerate(range(12, SIZE[0], 36), start=1):
        draw.line((x, top, x, top + (26 if inch % 4 == 0 else 14)), fill="black", width=2)
        if inch % 4 == 0:
            draw.text((x - 8, top + 26), str(inch), fill="black", font=_font(18))


def _slate(draw: ImageDraw.ImageDraw, lines: tuple[str, ...]) -> None:
    if lines:
        draw.rectangle((20, 20, 430, 40 + 34 * len(lines)), fill=(40, 44, 46))
        for i, line in enumerate(lines):
            draw.text((34, 26 + 34 * i), line, fill="white", font=_font(26))


def _font(size: int) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    from PIL import ImageFont

    return ImageFont.load_default(size)


def _grain(image: Image.Image, chance: random.Random) -> None:
    """A drawn photo must not look like a diagram: a little unevenness of light."""
    from PIL import Image

    light = Image.new("L", (8, 6))
    light.putdata([chance.randrange(205, 255) for _ in range(48)])
    black = Image.new("RGB", SIZE, (20, 18, 16))
    image.paste(Image.composite(image, black, light.resize(SIZE, Image.Resampling.BICUBIC)))

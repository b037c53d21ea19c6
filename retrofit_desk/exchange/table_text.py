"""Tables of readings as text: their cells, and numbers as people and machines write them."""

from __future__ import annotations

import csv
import re
from pathlib import Path

from retrofit_desk.exchange.readings_rows import BadReadings

_MISSING = {"", "-", "--", "n/a", "na", "nan", "null", "none", "missing"}


def table_of(path: Path, content: bytes) -> list[list[str]]:
    """Rows of stripped cells; comma, semicolon, tab or bar. Raises `BadReadings`."""
    encoding = "utf-16" if content[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    try:
        text = content.decode(encoding)
        head = text[:20_000]
        separator = max(",;\t|", key=head.count)
        return [[cell.strip() for cell in row] for row in csv.reader(text.splitlines(), delimiter=separator)]
    except (UnicodeDecodeError, csv.Error) as cause:
        raise BadReadings(path, "this is no table of readings", "save it as CSV in UTF-8") from cause


def plain_heading(cell: str) -> str:
    """A heading in small letters, words apart, brackets left out."""
    apart = re.sub(r"([a-z])([A-Z])", r"\1 \2", re.sub(r"\(.*?\)|\[.*?\]", " ", cell))
    return re.sub(r"[^a-z0-9$]+", " ", apart.casefold()).strip()


def plain_number(text: str) -> str:
    """Without blanks and the commas of thousands; a comma alone is the point of decimals."""
    plain = text.replace(" ", "").replace("\u00a0", "")
    if re.fullmatch(r"-?\d{1,3}(,\d{3})+(\.\d+)?", plain):
        return plain.replace(",", "")
    return plain.replace(",", ".") if re.fullmatch(r"-?\d+,\d+", plain) else plain


def number_in_cell(path: Path, number: int, text: str) -> float | None:
    """None where nothing was read. Raises `BadReadings` for what is no number."""
    if text.replace(".", "", 1).isdecimal():
        return float(text)
    if text.casefold() in _MISSING:
        return None
    plain = plain_number(text)
    if not re.fullmatch(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d{1,2})?", plain):
        raise BadReadings(path, f"'{text}' is not a number", "correct the cell", number)
    return float(plain)

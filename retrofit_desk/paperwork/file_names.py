"""File names that upload forms accept."""

from __future__ import annotations

import re
import unicodedata

LONGEST = 64
"""Federal 50122 reporting schema, files part: 2 to 64 characters of a small set."""


def upload_name(title: str, ending: str) -> str:
    """A name of letters, digits, space and "-._()" made from any title, `ending` (".pdf") included."""
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode("ascii")
    kept = re.sub(r"\s+", " ", re.sub(r"[^0-9a-zA-Z\-.()_ ]+", " ", plain)).strip(" .")
    return (kept or "paper")[: LONGEST - len(ending)].rstrip(" .") + ending

"""The words of a firm's or person's name apart from its legal form."""

from __future__ import annotations

import re
from dataclasses import dataclass

LEGAL_FORMS = {
    "llc": "llc",
    "l l c": "llc",
    "limited liability company": "llc",
    "inc": "inc",
    "incorporated": "inc",
    "corp": "corp",
    "corporation": "corp",
    "co": "co",
    "company": "co",
    "ltd": "ltd",
    "limited": "ltd",
    "lp": "lp",
    "llp": "llp",
    "pllc": "pllc",
    "pc": "pc",
    "p c": "pc",
}
"""Forms of business in US state law and their usual abbreviations (common practice, no source)."""


@dataclass(frozen=True)
class FirmName:
    """`words`: lower case, "&" read as "and". `legal_form`: one of the values of `LEGAL_FORMS`, or empty."""

    words: tuple[str, ...]
    legal_form: str


def read_firm_name(text: str) -> FirmName:
    """Take a name apart; "Hollin & Sons, L.L.C." and "HOLLIN AND SONS LLC" give the same."""
    bare = text.lower().replace("&", " and ").replace("'", "").replace("’", "")
    words = re.sub(r"[^\w]+", " ", bare).split()
    if words[:1] == ["the"]:
        words = words[1:]
    for length in (3, 2, 1):
        form = LEGAL_FORMS.get(" ".join(words[-length:])) if len(words) > length else None
        if form:
            return FirmName(tuple(words[:-length]), form)
    return FirmName(tuple(words), "")

"""A US postal address taken apart, so that two spellings of it can be compared."""

from __future__ import annotations

import re
from dataclasses import dataclass

SUFFIXES = {
    "alley": "aly", "avenue": "ave", "av": "ave", "boulevard": "blvd", "circle": "cir", "court": "ct",
    "cove": "cv", "crescent": "cres", "crossing": "xing", "drive": "dr", "extension": "ext", "glen": "gln",
    "heights": "hts", "highway": "hwy", "hill": "hl", "hills": "hls", "hollow": "holw", "junction": "jct",
    "knoll": "knl", "landing": "lndg", "lane": "ln", "meadow": "mdw", "meadows": "mdws", "parkway": "pkwy",
    "place": "pl", "plaza": "plz", "point": "pt", "ridge": "rdg", "road": "rd", "route": "rte",
    "square": "sq", "station": "sta", "street": "st", "str": "st", "terrace": "ter", "trail": "trl",
    "turnpike": "tpke", "valley": "vly", "view": "vw", "village": "vlg",
    "loop": "loop", "path": "path", "row": "row", "run": "run", "walk": "walk", "way": "way",
}  # fmt: skip
"""Street suffixes and their standard abbreviations: USPS Publication 28, Appendix C1 (from memory)."""

DIRECTIONS = {
    "north": "n", "south": "s", "east": "e", "west": "w",
    "northeast": "ne", "northwest": "nw", "southeast": "se", "southwest": "sw",
}  # fmt: skip
"""USPS Publication 28, section 233 (from memory)."""

UNIT_WORDS = {
    "apartment",
    "apt",
    "unit",
    "suite",
    "ste",
    "room",
    "rm",
    "floor",
    "fl",
    "building",
    "bldg",
    "lot",
    "#",
}
"""Secondary unit designators: USPS Publication 28, Appendix C2 (from memory)."""

STATES = {
    "alabama": "al", "alaska": "ak", "arizona": "az", "arkansas": "ar", "california": "ca", "colorado": "co",
    "connecticut": "ct", "delaware": "de", "district of columbia": "dc", "florida": "fl", "georgia": "ga",
    "hawaii": "hi", "idaho": "id", "illinois": "il", "indiana": "in", "iowa": "ia", "kansas": "ks",
    "kentucky": "ky", "louisiana": "la", "maine": "me", "maryland": "md", "massachusetts": "ma",
    "michigan": "mi", "minnesota": "mn", "mississippi": "ms", "missouri": "mo", "montana": "mt",
    "nebraska": "ne", "nevada": "nv", "new hampshire": "nh", "new jersey": "nj", "new mexico": "nm",
    "new york": "ny", "north carolina": "nc", "north dakota": "nd", "ohio": "oh", "oklahoma": "ok",
    "oregon": "or", "pennsylvania": "pa", "rhode island": "ri", "south carolina": "sc", "south dakota": "sd",
    "tennessee": "tn", "texas": "tx", "utah": "ut", "vermont": "vt", "virginia": "va", "washington": "wa",
    "west virginia": "wv", "wisconsin": "wi", "wyoming": "wy",
}  # fmt: skip
"""USPS Publication 28, Appendix B (from memory)."""

_STATE_CODES = set(STATES.values())
_SHORT_SUFFIXES = set(SUFFIXES.values())


@dataclass(frozen=True)
class Address:
    """Parts in lower case and standard abbreviations; empty where the text does not give them."""

    number: str
    street: str
    unit: str
    city: str
    state: str
    zip5: str


def read_address(text: str) -> Address:
    """Take one address apart; commas and line breaks help but are not needed."""
    segments = [part for part in (_words(piece) for piece in re.split(r"[,\n;]", text)) if part]
    if not segments:
        return Address("", "", "", "", "", "")
    zip5, state = _take_zip(segments), _take_state(segments)
    unit = _take_unit(segments)
    street, city = _street_and_city([part for part in segments if part])
    number = street.pop(0) if street and street[0][0].isdigit() else ""
    return Address(number, " ".join(_short_street(street)), unit, " ".join(city), state, zip5)


def _words(piece: str) -> list[str]:
    bare = piece.lower().replace("#", " # ").replace(".", "").replace("'", "")
    return re.sub(r"[^\w#-]+", " ", bare).split()


def _take_zip(segments: list[list[str]]) -> str:
    last = segments[-1]
    while last and last[-1] in {"usa", "us"}:
        last.pop()
    found = re.fullmatch(r"(\d{5})(-?\d{4})?", last[-1]) if last else None
    if found and not (len(segments) == 1 and len(last) == 1):
        last.pop()
        return found[1]
    return ""


def _take_state(segments: list[list[str]]) -> str:
    while len(segments) > 1 and not segments[-1]:
        segments.pop()
    last = segments[-1]
    for length in (3, 2, 1):
        words = " ".join(last[-length:])
        is_whole = len(last) == length and len(segments) == 1
        code = STATES.get(words) or (words if words in _STATE_CODES else None)
        # "12 Cedar Ct" ends in a suffix, not in Connecticut
        ends_street = (
            len(segments) == 1 and words in _SHORT_SUFFIXES and not any(w in _known() for w in last[:-1])
        )
        if code and len(last) >= length and not is_whole and not ends_street:
            del last[-length:]
            return code
    return ""


def _known() -> set[str]:
    return _SHORT_SUFFIXES | set(SUFFIXES)


def _take_unit(segments: list[list[str]]) -> str:
    for segment in segments:
        for i, word in enumerate(segment):
            if (
                i + 1 < len(segment)
                and word in UNIT_WORDS
                and any(c.isdigit() for c in segment[i + 1]) | (len(segment[i + 1]) == 1)
            ):
                value = segment[i + 1]
                if value == "#" and i + 2 < len(segment):
                    value = segment[i + 2]
                    del segment[i + 2]
                del segment[i : i + 2]
                return value
    return ""


def _street_and_city(segments: list[list[str]]) -> tuple[list[str], list[str]]:
    if not segments:
        return [], []
    if len(segments) > 1:
        return list(segments[0]), [word for part in segments[1:] for word in part]
    words = segments[0]
    ends = [i for i, word in enumerate(words) if i > 1 and word in _known()]
    if not ends:
        return list(words), []
    end = ends[0] + 1
    while end < len(words) and words[end] in set(DIRECTIONS) | set(DIRECTIONS.values()):
        end += 1
    return list(words[:end]), list(words[end:])


def _short_street(words: list[str]) -> list[str]:
    # only the last suffix is one: "Hill Street" keeps its Hill
    last = max((i for i, word in enumerate(words) if i and word in _known()), default=-1)
    return [
        SUFFIXES.get(word, word) if i == last else DIRECTIONS.get(word, word) for i, word in enumerate(words)
    ]

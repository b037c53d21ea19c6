"""The nine pages: what they are called, what they answer, and where their code is."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module

from retrofit_desk.desk.page import Page
from retrofit_desk.values.place import PageKey


@dataclass(frozen=True)
class PageEntry:
    """A page before its code is loaded: that happens when it is first shown."""

    key: PageKey
    word: str
    class_name: str

    def load(self) -> type[Page]:
        """The page's class; its module is named after its key."""
        found: type[Page] = getattr(import_module(f"{__name__}.{self.key}"), self.class_name)
        return found


PAGES = (
    PageEntry(PageKey.AT_HAND, "At hand", "AtHandPage"),
    PageEntry(PageKey.HOUSE, "House", "HousePage"),
    PageEntry(PageKey.MEASURES, "Measures", "MeasuresPage"),
    PageEntry(PageKey.QUOTES, "Quotes", "QuotesPage"),
    PageEntry(PageKey.PERMITS, "Permits", "PermitsPage"),
    PageEntry(PageKey.WORTH, "Worth", "WorthPage"),
    PageEntry(PageKey.MONEY, "Money", "MoneyPage"),
    PageEntry(PageKey.PACKETS, "Packets", "PacketsPage"),
    PageEntry(PageKey.PAPERS, "Papers & photos", "PapersPage"),
)

"""The one kind of error whose text is meant for the owner."""

from __future__ import annotations


class DeskError(Exception):
    """An error a user can cause or meet; its text is one clear line.

    `what` happened, `where` (file, key, page), what was `kept`, what to `do` next.
    Layers derive their own small classes; our own bugs are never a `DeskError`.
    """

    exit_code = 2

    def __init__(self, what: str, *, where: str = "", kept: str = "", do: str = "") -> None:
        self.what, self.where, self.kept, self.do = what, where, kept, do
        super().__init__(self.line())

    def line(self) -> str:
        """The whole message on one line."""
        head = f"{self.where}: {self.what}" if self.where else self.what
        parts = [part.strip().rstrip(".") for part in (head, self.kept, self.do) if part.strip()]
        return " ".join(f"{part[:1].upper()}{part[1:]}." if i else f"{part}." for i, part in enumerate(parts))


class CannotSay(DeskError):
    """A missing value matters to the answer: "cannot say, needs ..."."""

    def __init__(self, subject: str, needs: str, *, where: str = "") -> None:
        super().__init__(f"cannot say {subject}", where=where, do=f"needs {needs}")

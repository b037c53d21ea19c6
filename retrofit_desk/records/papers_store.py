"""Keeps the bytes of papers and photos, each once, under the hash of its content."""

from __future__ import annotations

import hashlib
import mimetypes
import os
import stat
import uuid
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from retrofit_desk.records.errors import PaperChanged, PaperLost, PaperUnreadable, in_plain_words

_CHUNK = 1 << 20
_INCOMING = ".incoming-"
_NEW = ".new-"

# first bytes of common kinds, as registered or published for each format
_SIGNATURES = (
    (b"%PDF-", "application/pdf"),
    (b"\x89PNG\r\n\x1a\n", "image/png"),
    (b"\xff\xd8\xff", "image/jpeg"),
    (b"GIF8", "image/gif"),
    (b"II*\x00", "image/tiff"),
    (b"MM\x00*", "image/tiff"),
)
_HEIC_BRANDS = (b"heic", b"heix", b"mif1", b"msf1")


@dataclass(frozen=True)
class FiledContent:
    """What was filed. `is_new`: these bytes were not in the folder before."""

    sha256: str
    size_bytes: int
    media_type: str
    original_name: str
    is_new: bool


class PapersStore:
    """The `papers/` folder of one project."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def path(self, sha256: str) -> Path:
        """Where the bytes lie. Use `read` or `verify` when it matters that they are still the same."""
        return self.folder / sha256[:2] / sha256

    def has(self, sha256: str) -> bool:
        return self.path(sha256).is_file()

    def names(self) -> frozenset[str]:
        """All files in the folder at one look, where thousands are asked for."""
        return frozenset(name for _folder, _below, names in os.walk(self.folder) for name in names)

    def put_file(self, source: Path) -> FiledContent:
        """File a copy of `source`. Raises `PaperUnreadable`, `DiskFull`, `ReadOnlyFolder`."""
        try:
            found = source.stat()
            if not stat.S_ISREG(found.st_mode):
                raise PaperUnreadable(source, "it is not a file")
            if not found.st_size:  # a copy from a camera that broke off: as evidence it would show nothing
                raise PaperUnreadable(source, "it is empty")
            handle = source.open("rb")
        except OSError as error:
            raise PaperUnreadable(source, error.strerror or "it cannot be read") from error
        with handle:
            return self._put(iter(lambda: handle.read(_CHUNK), b""), source.name)

    def put_bytes(self, content: bytes, name: str) -> FiledContent:
        """File bytes made by the program itself. Raises `DiskFull`, `ReadOnlyFolder`."""
        return self._put(iter((content,)), name)

    def read(self, sha256: str, name: str = "the paper") -> bytes:
        """The bytes, checked. Raises `PaperLost`, `PaperChanged`."""
        try:
            content = self.path(sha256).read_bytes()
        except OSError:
            raise PaperLost(name) from None
        if hashlib.sha256(content).hexdigest() != sha256:
            raise PaperChanged(name)
        return content

    def verify(self, sha256: str) -> bool | None:
        """True: there and the same. False: there, but changed. None: gone."""
        try:
            with self.path(sha256).open("rb") as handle:
                return hashlib.file_digest(handle, "sha256").hexdigest() == sha256
        except OSError:
            return None

    def discard(self, sha256: str) -> None:
        """Take bytes out again, when the step that filed them failed."""
        path = self.path(sha256)
        if path.exists():
            path.chmod(stat.S_IREAD | stat.S_IWRITE)
            path.unlink()
        self.settle(sha256)

    def settle(self, sha256: str) -> None:
        """The step that filed these bytes is kept: they are new no more."""
        (self.folder / f"{_NEW}{sha256}").unlink(missing_ok=True)

    def all_hashes(self) -> Iterator[str]:
        """The name of every file in the folder, whether it is known to the record or not."""
        if self.folder.is_dir():
            for path in sorted(self.folder.rglob("*")):
                if path.is_file() and not path.name.startswith((_INCOMING, _NEW)):
                    yield path.name

    def sweep(self, known: Callable[[], set[str]]) -> None:
        """Remove what a program that died in the middle left: half papers, and new ones no record speaks of.

        `known`: asked for the recorded hashes if there is anything new. Only while holding the write lock.
        """
        for path in self.folder.glob(f"{_INCOMING}*"):
            path.unlink(missing_ok=True)
        new = {path.name.removeprefix(_NEW) for path in self.folder.glob(f"{_NEW}*")}
        recorded = known() if new else set()
        for sha256 in new - recorded:
            self.discard(sha256)
        for sha256 in new & recorded:
            self.settle(sha256)

    def _put(self, chunks: Iterator[bytes], name: str) -> FiledContent:
        incoming = self.folder / f"{_INCOMING}{uuid.uuid4().hex}"
        with in_plain_words(self.folder.parent):
            self.folder.mkdir(exist_ok=True)
            try:
                sha256, size_bytes, head = _write(incoming, chunks)
                is_new = self.verify(sha256) is not True  # a damaged copy is made whole by filing again
                if is_new:
                    self._move_in(incoming, sha256)
            finally:
                incoming.unlink(missing_ok=True)
        return FiledContent(sha256, size_bytes, media_type(head, name), name, is_new)

    def _move_in(self, incoming: Path, sha256: str) -> None:
        target = self.path(sha256)
        target.parent.mkdir(exist_ok=True)
        (self.folder / f"{_NEW}{sha256}").touch()
        incoming.chmod(0o444)  # evidence is not edited in place
        if os.name == "nt" and target.exists():
            target.chmod(stat.S_IWRITE)
        os.replace(incoming, target)
        _settle(target.parent)


def media_type(head: bytes, name: str) -> str:
    """From the first bytes; only when they say nothing, from the name."""
    for signature, kind in _SIGNATURES:
        if head.startswith(signature):
            return kind
    if head[4:8] == b"ftyp" and head[8:12] in _HEIC_BRANDS:
        return "image/heic"
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return "image/webp"
    return mimetypes.guess_type(name)[0] or "application/octet-stream"


def _write(target: Path, chunks: Iterator[bytes]) -> tuple[str, int, bytes]:
    digest, size_bytes, head = hashlib.sha256(), 0, b""
    with target.open("xb") as out:
        for chunk in chunks:
            head = head or chunk[:16]
            digest.update(chunk)
            size_bytes += len(chunk)
            out.write(chunk)
        out.flush()
        os.fsync(out.fileno())
    return digest.hexdigest(), size_bytes, head


def _settle(folder: Path) -> None:
    """Make the new name itself durable; a folder cannot be synced on every system."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)

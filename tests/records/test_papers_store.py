"""Papers are filed once, whole, under the hash of their content."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

import pytest

from retrofit_desk.records.errors import DiskFull, PaperChanged, PaperLost, PaperUnreadable
from retrofit_desk.records.papers_store import PapersStore, media_type


@pytest.fixture
def store(tmp_path: Path) -> PapersStore:
    return PapersStore(tmp_path / "papers")


def test_the_same_bytes_under_two_names_lie_there_once(store: PapersStore) -> None:
    first = store.put_bytes(b"nameplate", "IMG_2041.jpg")
    second = store.put_bytes(b"nameplate", "heat pump plate.jpg")
    assert (first.is_new, second.is_new) == (True, False)
    assert first.sha256 == second.sha256 == hashlib.sha256(b"nameplate").hexdigest()
    assert list(store.all_hashes()) == [first.sha256]


def test_a_file_is_copied_and_its_original_stays(store: PapersStore, tmp_path: Path) -> None:
    original = tmp_path / "permit card.pdf"
    original.write_bytes(b"%PDF-1.7 card" + b"." * 3_000_000)
    filed = store.put_file(original)
    assert (filed.media_type, filed.original_name) == ("application/pdf", "permit card.pdf")
    assert store.read(filed.sha256) == original.read_bytes()


def test_a_folder_or_a_missing_file_cannot_be_filed(store: PapersStore, tmp_path: Path) -> None:
    for source in (tmp_path, tmp_path / "not there.pdf"):
        with pytest.raises(PaperUnreadable, match="cannot be filed"):
            store.put_file(source)
    assert not list(store.all_hashes())


def test_a_paper_gone_or_changed_is_told_apart(store: PapersStore) -> None:
    filed = store.put_bytes(b"waiver", "waiver.pdf")
    path = store.path(filed.sha256)
    path.chmod(0o644)
    path.write_bytes(b"waiver, meddled")
    assert store.verify(filed.sha256) is False
    with pytest.raises(PaperChanged, match=r"waiver\.pdf was changed"):
        store.read(filed.sha256, "waiver.pdf")
    path.unlink()
    assert store.verify(filed.sha256) is None
    with pytest.raises(PaperLost, match=r"waiver\.pdf is gone"):
        store.read(filed.sha256, "waiver.pdf")


def test_filing_the_true_paper_again_heals_a_changed_one(store: PapersStore) -> None:
    filed = store.put_bytes(b"waiver", "waiver.pdf")
    store.path(filed.sha256).chmod(0o644)
    store.path(filed.sha256).write_bytes(b"damaged")
    store.put_bytes(b"waiver", "waiver.pdf")
    assert store.read(filed.sha256) == b"waiver"


def test_a_full_disk_leaves_no_half_paper(store: PapersStore, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(DiskFull):
        store.put_bytes(b"photo", "photo.jpg")
    assert not [path for path in store.folder.rglob("*") if path.is_file()]


def test_what_a_program_that_died_left_half_written_is_swept(store: PapersStore) -> None:
    whole = store.put_bytes(b"whole", "whole.pdf")
    (store.folder / ".incoming-0a1b").write_bytes(b"half")
    unknown = store.put_bytes(b"filed in a step that never ended", "photo.jpg")
    store.sweep(lambda: {whole.sha256})
    assert [path.read_bytes() for path in store.folder.rglob("*") if path.is_file()] == [b"whole"]
    assert not store.has(unknown.sha256)


@pytest.mark.parametrize(
    ("head", "name", "kind"),
    [
        # first bytes: ISO 32000 (PDF), ISO 15948 (PNG), ISO 10918 (JPEG), ISO 23008-12 (HEIC); from memory
        (b"%PDF-1.4", "photo.jpg", "application/pdf"),
        (b"\x89PNG\r\n\x1a\n", "x", "image/png"),
        (b"\xff\xd8\xff\xe1", "x.pdf", "image/jpeg"),
        (b"\x00\x00\x00\x18ftypheic", "x", "image/heic"),
        (b"RIFF\x10\x00\x00\x00WEBP", "x", "image/webp"),
        (b"a,b\n1,2\n", "bills.csv", "text/csv"),
        (b"\x00\x01", "x", "application/octet-stream"),
    ],
)
def test_the_kind_is_read_from_the_bytes_before_the_name(head: bytes, name: str, kind: str) -> None:
    assert media_type(head, name) == kind

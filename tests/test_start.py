"""The start script: its one-line refusals, and what it runs."""

from __future__ import annotations

import importlib.util
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture
def start() -> ModuleType:
    spec = importlib.util.spec_from_file_location("start", ROOT / "start.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def called(start: ModuleType, monkeypatch: pytest.MonkeyPatch) -> list[tuple[list[str], dict[str, str]]]:
    calls: list[tuple[list[str], dict[str, str]]] = []

    def call(command: list[str], **more: str) -> int:
        calls.append((command, more))
        return 0

    monkeypatch.setattr(start, "call", call)
    monkeypatch.setattr(start, "environment", lambda: "python")
    monkeypatch.setattr(start, "can_load", lambda _library: True)
    return calls


def test_an_older_python_gets_one_line(
    start: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(start.sys, "version_info", (3, 9, 2, "final", 0))
    assert start.main([]) == 1
    line = "start.py: this is Python 3.9.2; Retrofit Desk needs Python 3.11, 3.12 or 3.13.\n"
    assert capsys.readouterr().err == line


def test_missing_system_libraries_are_named_by_their_packages(
    start: ModuleType,
    called: list[tuple[list[str], dict[str, str]]],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setattr(
        start, "can_load", lambda library: library not in ("libEGL.so.1", "libxkbcommon.so.0")
    )
    monkeypatch.setattr(start.sys, "platform", "linux")
    assert start.main(["test"]) == 1
    error = capsys.readouterr().err
    assert error.count("\n") == 1
    assert error.endswith("apt install libegl1 libxkbcommon0\n")
    assert called == []


def test_a_missing_venv_module_is_named_by_its_package(
    start: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(start, "ENVIRONMENT", tmp_path / ".venv")
    monkeypatch.setattr(start, "STAMP", tmp_path / ".venv" / "stamp")
    monkeypatch.setitem(sys.modules, "ensurepip", None)
    assert start.main([]) == 1
    assert "apt install python3-venv" in capsys.readouterr().err


def test_the_second_start_installs_nothing(
    start: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    environment = tmp_path / ".venv"
    (environment / "bin").mkdir(parents=True)
    (environment / "bin" / "python").touch()
    monkeypatch.setattr(start, "ENVIRONMENT", environment)
    monkeypatch.setattr(start, "STAMP", environment / "stamp")
    runs: list[list[str]] = []

    def run(command: list[str], **_more: object) -> subprocess.CompletedProcess[bytes]:
        runs.append(command)
        return subprocess.CompletedProcess(command, 0)

    monkeypatch.setattr(start.subprocess, "run", run)
    assert start.environment() == str(environment / "bin" / "python")
    assert len(runs) == 2
    assert "--require-hashes" in runs[0]
    assert start.environment() == str(environment / "bin" / "python")
    assert len(runs) == 2


def test_a_failed_installation_is_tried_again_at_the_next_start(
    start: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    environment = tmp_path / ".venv"
    (environment / "bin").mkdir(parents=True)
    (environment / "bin" / "python").touch()
    monkeypatch.setattr(start, "ENVIRONMENT", environment)
    monkeypatch.setattr(start, "STAMP", environment / "stamp")
    monkeypatch.setattr(
        start.subprocess, "run", lambda command, **_more: subprocess.CompletedProcess(command, 1)
    )
    assert start.environment() is None
    assert not (environment / "stamp").exists()


def test_without_a_display_the_tour_runs_in_plain_text(
    start: ModuleType, called: list[tuple[list[str], dict[str, str]]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(start.sys, "platform", "linux")
    monkeypatch.delenv("DISPLAY", raising=False)
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    assert start.main([]) == 0
    assert "headless_tour" in called[0][0][-1]


def test_with_a_display_the_window_opens_on_the_sample_house(
    start: ModuleType, called: list[tuple[list[str], dict[str, str]]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(start.sys, "platform", "linux")
    monkeypatch.setenv("DISPLAY", ":0")
    assert start.main([]) == 0
    assert called[0][0] == ["python", "-m", "retrofit_desk.desk.app", "--sample"]


def test_tests_run_offscreen_on_two_workers_and_pass_arguments_on(
    start: ModuleType, called: list[tuple[list[str], dict[str, str]]]
) -> None:
    assert start.main(["test", "-k", "window"]) == 0
    assert called == [
        (["python", "-m", "pytest", "-n", "2", "-k", "window"], {"QT_QPA_PLATFORM": "offscreen"}),
    ]


def test_the_lock_names_no_registry_and_hashes_every_package() -> None:
    text = (ROOT / "requirements.lock").read_text(encoding="utf-8")
    assert "://" not in text
    pinned = [line for line in text.splitlines() if "==" in line and not line.startswith((" ", "#"))]
    assert len(pinned) > 50
    assert text.count("==") == len(pinned)
    blocks = text.split("==")[1:]
    assert all("--hash=sha256:" in block for block in blocks)

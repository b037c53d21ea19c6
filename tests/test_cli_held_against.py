"""The verbs that hold the model and the work against bills, a meter's hours and a battery."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from retrofit_desk.cli import main
from retrofit_desk.records.project import Project
from retrofit_desk.services.bills_fit import BillsFitService
from retrofit_desk.services.did_it_work import DidItWorkService
from retrofit_desk.services.did_it_work_words import answer_word
from retrofit_desk.services.storage import StorageService


def answer(capsys: pytest.CaptureFixture[str], *words: object) -> str:
    capsys.readouterr()
    code = main([str(word) for word in words])
    out, err = capsys.readouterr()
    assert (code, err) == (0, "")
    return out


def data(capsys: pytest.CaptureFixture[str], *words: object) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(answer(capsys, *words, "--json"))
    assert found["schema"] == f"retrofit-desk/{words[0]}/1"
    return found


def test_the_fit_is_made_once_kept_and_told_with_its_limits(
    sample_copy: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    told = data(capsys, "fit", sample_copy)
    with Project.open(sample_copy) as project:
        kept = BillsFitService(project).latest()
    assert kept is not None
    assert told["is_within_limits"] is kept.is_within_limits
    assert {one["name"]: one["as_fitted"]["cv_rmse_share"] for one in told["meters"]} == {
        one.name: one.fitted.cv for one in kept.fuels
    }
    assert [one["name"] for one in told["traits"]] == [one.name for one in kept.traits]
    monkeypatch.setattr(BillsFitService, "fit", lambda *_: pytest.fail("what is known was fitted again"))
    words = answer(capsys, "fit", sample_copy)
    assert "ASHRAE Guideline 14" in words
    assert "They cannot tell apart" in words


def test_the_bills_are_asked_about_each_work_and_the_hours_about_strips(
    sample_copy: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = data(capsys, "did-it-work", sample_copy)
    with Project.open(sample_copy, read_only=True) as project:
        works = DidItWorkService(project).works()
    assert [one["answer"] for one in told["works"]] == [answer_word(one.answer) for one in works]
    first = works[0].site_kwh
    assert first is not None
    assert told["works"][0]["saved_kwh"] == pytest.approx(first.saved)
    assert told["strips"] is None
    words = answer(capsys, "did-it-work", sample_copy)
    assert f"{works[0].title}: proven" in words
    assert "Do strips run? Cannot say." in words


def test_a_store_is_held_against_a_battery(sample_copy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (one,) = data(capsys, "against-battery", sample_copy)["stores"]
    with Project.open(sample_copy) as project:
        kept = StorageService(project).latest()
    assert kept is not None
    assert one["store"]["shifted_kwh"] == pytest.approx(kept.stores[0].found.store.shifted_kwh)
    assert one["store"]["shifted_kwh"] == pytest.approx(one["battery"]["shifted_kwh"], rel=0.01)
    words = answer(capsys, "against-battery", sample_copy)
    assert "Of that comes back" in words
    assert "Hot tanks scald." in words


def test_a_project_with_nothing_to_ask_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    Project.create(tmp_path / "Bare.retrofit").close()
    assert "No measure of the line-up keeps" in answer(capsys, "against-battery", tmp_path / "Bare.retrofit")
    assert main(["fit", str(tmp_path / "Bare.retrofit")]) == 2
    assert "cannot say" in capsys.readouterr().err.lower()

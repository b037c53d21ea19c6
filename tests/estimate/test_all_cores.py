"""Work on all cores: the same figures whatever the threads, nothing run twice, stopped at once."""

from __future__ import annotations

import time
from threading import Event

import numpy as np
import pytest

from retrofit_desk.estimate import all_cores
from retrofit_desk.estimate.all_cores import on_all_cores, while_heard
from retrofit_desk.estimate.line_up import FIGURES, LineUp
from retrofit_desk.estimate.scenario import Simulator
from retrofit_desk.exchange.weather import greensboro
from tests.estimate.builders import a_case
from tests.estimate.line_ups import chosen, terms

KEYS = ("air_sealing", "insulation_batts", "heat_pump_water_heater", "induction_range", "photovoltaics")


class Stopped(Exception):
    """What the window raises when the person cancels."""


def quietly(share: float, doing: str) -> None:
    """A report that nobody reads."""


def figures_of_all(threads: int, monkeypatch: pytest.MonkeyPatch) -> tuple[np.ndarray, int]:
    monkeypatch.setattr(all_cores, "MOST_CORES", threads)
    monkeypatch.setattr(all_cores.os, "cpu_count", lambda: threads)
    simulator = Simulator(greensboro())
    line_up = LineUp(a_case(), chosen(*KEYS), simulator, terms())
    line_up.run_sets(range(line_up.whole + 1), quietly)
    return np.array([line_up.worth(mask) for mask in range(line_up.whole + 1)]), simulator.engine_runs


def test_figures_do_not_depend_on_the_number_of_threads(monkeypatch: pytest.MonkeyPatch) -> None:
    one, runs = figures_of_all(1, monkeypatch)
    assert one.shape == (32, len(FIGURES))
    assert runs == 4  # air sealing and batts change the house, the rest its plant
    for threads in (2, 4):
        many, runs = figures_of_all(threads, monkeypatch)
        assert runs == 4
        np.testing.assert_array_equal(many, one)


def test_what_is_known_is_not_run_again_under_new_prices(monkeypatch: pytest.MonkeyPatch) -> None:
    simulator = Simulator(greensboro())
    line_up = LineUp(a_case(), chosen(*KEYS), simulator, terms())
    line_up.fair_parts(quietly)
    runs: list[object] = []
    monkeypatch.setattr(simulator, "_run", runs.append)
    dear = LineUp(a_case(), chosen(*KEYS), simulator, terms(gas_price="2.40"))
    parts = dear.fair_parts(quietly)
    assert runs == []
    assert parts[2, FIGURES.index("fuel_bill_cents")] < 0.0


def test_work_that_was_stopped_goes_on_where_it_was() -> None:
    simulator = Simulator(greensboro())

    def stop(share: float, doing: str) -> None:
        if simulator.engine_runs >= 2:
            raise Stopped

    with pytest.raises(Stopped):
        LineUp(a_case(), chosen(*KEYS), simulator, terms()).fair_parts(stop)
    LineUp(a_case(), chosen(*KEYS), simulator, terms()).fair_parts(quietly)
    assert simulator.engine_runs == 4


def test_a_stop_does_not_wait_for_what_is_at_work() -> None:
    released, begun = Event(), Event()
    asked: list[int] = []

    def work(item: int) -> None:
        asked.append(item)
        begun.set()
        released.wait(20.0)

    def report(done: int) -> None:
        if begun.is_set():
            raise Stopped

    start = time.monotonic()
    with pytest.raises(Stopped):
        on_all_cores([[1, 2, 3], [4, 5, 6], [7]], work, report, threads=1)
    assert time.monotonic() - start < 10.0  # the work itself would hold for twenty
    assert asked == [1]
    released.set()


def test_what_the_work_raises_comes_out() -> None:
    def fail(item: int) -> None:
        raise KeyError(item)

    with pytest.raises(KeyError):
        on_all_cores([[1], [2]], fail, lambda done: None, threads=2)


def test_the_report_counts_sets_up_to_all() -> None:
    told: list[tuple[float, str]] = []
    line_up = LineUp(a_case(), chosen(*KEYS[2:]), Simulator(greensboro()), terms())
    line_up.run_sets(range(8), lambda share, doing: told.append((share, doing)))
    assert told[0] == (0.0, "0 of 8 sets")
    assert [share for share, _ in told] == sorted(share for share, _ in told)


def test_one_piece_of_work_answers_and_is_told_of_meanwhile() -> None:
    heard, waited = Event(), Event()

    def work() -> str:
        waited.set()
        heard.wait(20.0)
        return "answer"

    def report() -> None:
        if waited.is_set():
            heard.set()

    assert while_heard(work, report) == "answer"
    with pytest.raises(Stopped):
        while_heard(lambda: None, _stop)


def _stop() -> None:
    raise Stopped

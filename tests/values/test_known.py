"""What is known is not worked out again, by whatever thread; what failed is."""

from __future__ import annotations

from threading import Barrier, Event, Thread

import pytest

from retrofit_desk.values.known import Known


def test_an_answer_is_worked_out_once_until_it_is_pushed_out() -> None:
    known: Known[int, int] = Known(2)
    asked: list[int] = []

    def square(n: int) -> int:
        return known.get(n, lambda: asked.append(n) or n * n)  # type: ignore[func-returns-value]

    assert [square(n) for n in (1, 2, 1, 3, 1, 2)] == [1, 4, 1, 9, 1, 4]
    assert asked == [1, 2, 3, 2]  # 2 was asked longest ago when 3 came
    assert len(known) == 2


def test_of_two_threads_with_one_question_one_waits_for_the_other() -> None:
    known: Known[str, object] = Known(4)
    asked, answers, go_on, both = [], [], Event(), Barrier(2)

    def work_out() -> object:
        asked.append(1)
        go_on.wait(5.0)
        return object()

    def ask() -> None:
        both.wait(5.0)
        answers.append(known.get("the same", work_out))

    threads = [Thread(target=ask) for _ in range(2)]
    for thread in threads:
        thread.start()
    go_on.set()
    for thread in threads:
        thread.join(5.0)
    assert len(asked) == 1
    assert len(answers) == 2
    assert answers[0] is answers[1]


def test_what_fails_is_asked_again() -> None:
    known: Known[str, int] = Known(4)

    def fail() -> int:
        raise KeyError("nothing there")

    with pytest.raises(KeyError):
        known.get("it", fail)
    assert known.get("it", lambda: 3) == 3

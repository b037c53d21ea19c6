"""What was worked out once and is known again, whichever thread asks."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from concurrent.futures import Future
from threading import Lock
from typing import Generic, TypeVar

K = TypeVar("K", bound=Hashable)
V = TypeVar("V")


class Known(Generic[K, V]):
    """The answers to the latest questions, so many at most; of two threads with one question one waits."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._answers: OrderedDict[K, Future[V]] = OrderedDict()
        self._lock = Lock()

    def get(self, key: K, work_out: Callable[[], V]) -> V:
        """The known answer, or the one that `work_out` gives; what it raises is not kept."""
        with self._lock:
            answer = self._answers.get(key)
            if answer is not None:
                self._answers.move_to_end(key)
            else:
                mine = self._answers[key] = Future()
                while len(self._answers) > self._most:
                    self._answers.popitem(last=False)
        if answer is not None:
            return answer.result()
        try:
            mine.set_result(work_out())
        except BaseException as error:
            with self._lock:
                self._answers.pop(key, None)
            mine.set_exception(error)
            raise
        return mine.result()

    def __len__(self) -> int:
        return len(self._answers)

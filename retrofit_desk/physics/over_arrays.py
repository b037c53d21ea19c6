"""Formulas of plain numbers over whole arrays."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, ParamSpec

import numpy as np

P = ParamSpec("P")


def over_arrays(formula: Callable[P, float]) -> Callable[P, float]:
    """Lets a formula of plain numbers take numpy arrays too: shapes broadcast, each element by itself.

    Numbers give a number as before; an element that cannot be is refused as that number would be.
    """

    @wraps(formula)
    def each(*args: P.args, **named: P.kwargs) -> Any:
        arrays = [one for one in (*args, *named.values()) if isinstance(one, np.ndarray)]
        if not arrays:
            return formula(*args, **named)
        found = np.empty(np.broadcast_shapes(*(one.shape for one in arrays)))

        def at(value: Any, place: tuple[int, ...]) -> Any:
            is_array = isinstance(value, np.ndarray)
            return np.broadcast_to(value, found.shape)[place].item() if is_array else value

        for place in np.ndindex(found.shape):
            here = [at(one, place) for one in args]
            found[place] = formula(*here, **{name: at(one, place) for name, one in named.items()})
        return found

    return each

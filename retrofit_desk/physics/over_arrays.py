"""Formulas of plain numbers over whole arrays."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from inspect import signature
from typing import Any, ParamSpec, cast

import numpy as np

P = ParamSpec("P")


def over_arrays(formula: Callable[P, float]) -> Callable[P, float]:
    """Lets a formula of plain numbers take numpy arrays too: shapes broadcast, each element by itself.

    Numbers give a number as before; an element that cannot be is refused as that number would be.
    """

    asked = signature(formula)

    @wraps(formula)
    def each(*args: P.args, **named: P.kwargs) -> Any:
        given = asked.bind(*args, **named).arguments
        arrays = {name: value for name, value in given.items() if isinstance(value, np.ndarray)}
        if not arrays:
            return formula(*args, **named)
        rest = {name: value for name, value in given.items() if name not in arrays}
        plain = cast(Callable[..., float], formula)

        def one(*values: float) -> float:
            return plain(**rest, **dict(zip(arrays, values, strict=True)))

        return np.vectorize(one, otypes=[float])(*arrays.values())

    return each

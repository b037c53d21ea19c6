"""A small dense linear solve that compiled code can call."""

# mypy: disable-error-code="no-untyped-def"
from __future__ import annotations

from numba import njit


@njit(cache=True, nogil=True)
def _pivot(a, b, i, size):
    p = i
    for r in range(i + 1, size):
        if abs(a[r, i]) > abs(a[p, i]):
            p = r
    if p != i:
        for c in range(size):
            a[i, c], a[p, c] = a[p, c], a[i, c]
        for c in range(b.shape[1]):
            b[i, c], b[p, c] = b[p, c], b[i, c]


@njit(cache=True, nogil=True)
def solve_in_place(a, b, size):
    """Solve a x = b for the leading `size` rows by elimination with row pivots; b (size, m) becomes x."""
    columns = b.shape[1]
    for i in range(size):
        _pivot(a, b, i, size)
        for r in range(i + 1, size):
            f = a[r, i] / a[i, i]
            if f != 0.0:
                for c in range(i + 1, size):
                    a[r, c] -= f * a[i, c]
                for c in range(columns):
                    b[r, c] -= f * b[i, c]
    for i in range(size - 1, -1, -1):
        for k in range(i + 1, size):
            f = a[i, k]
            for c in range(columns):
                b[i, c] -= f * b[k, c]
        for c in range(columns):
            b[i, c] /= a[i, i]

"""Every kind of measure, one module each; a new kind is a new module with a `KIND`."""

from __future__ import annotations

import pkgutil
from functools import cache
from importlib import import_module
from typing import Any

from retrofit_desk.estimate.measures.base import MeasureKind

__all__ = ["MeasureKind", "kinds"]


@cache
def kinds() -> dict[str, MeasureKind[Any]]:
    """All kinds by their key."""
    modules = (import_module(f"{__name__}.{found.name}") for found in pkgutil.iter_modules(__path__))
    return {module.KIND.key: module.KIND for module in modules if hasattr(module, "KIND")}

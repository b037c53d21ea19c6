"""Prints every speed ratio of the program, one line each: NAME RATIO GOAL ok|short."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent


def main() -> int:
    """Every `rows()` of the `*_ratios.py` beside this file; both sides are measured in this run."""
    sys.path.insert(0, str(HERE.parent.parent))
    for path in sorted(HERE.glob("*_ratios.py")):
        for name, ratio, goal, ok in importlib.import_module(f"tests.bench.{path.stem}").rows():
            print(f"{name} {ratio:.3g} {goal:g} {'ok' if ok else 'short'}", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())

"""`python -m retrofit_desk.cli`."""

from __future__ import annotations

import sys

from retrofit_desk.cli import main

sys.exit(main())

"""One desk for a homeowner electrifying an old house: the house, the sums and the papers together."""

import os

__version__ = "0.4.0"

# before numpy is loaded: sets of measures run side by side on all cores, and threads of the matrix library
# beneath them would only wait for each other
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

"""One thread for linear algebra, as the commands have it; set before numpy is imported."""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

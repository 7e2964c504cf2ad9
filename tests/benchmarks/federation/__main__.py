"""Make the small and the large federation: `python -m tests.benchmarks.federation FOLDER [airframes]`."""

import sys
from pathlib import Path

from .stores import LARGE, SMALL, fill, start

folder = Path(sys.argv[1])
start(folder)
for size in (SMALL, int(sys.argv[2]) if len(sys.argv) > 2 else LARGE):
    fill(size, folder, lambda text: print(text, flush=True))

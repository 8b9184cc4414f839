"""Wheelroom, the program: rig files, answers, command line, window and report on top of `geometry`."""

import os

# The search works on many small arrays: a second thread of the linear algebra library costs it more than it gives.
# It has to be said before numpy is first imported.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

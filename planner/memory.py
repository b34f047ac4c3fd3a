"""How much memory planning may take: a bound that the operating system holds."""

import resource
from collections.abc import Iterator
from contextlib import contextmanager

LARGEST_MB = 1024
# What libraries and the program's own text take beside the data that the system bounds.
_BESIDE_MB = 64


@contextmanager
def bounded_memory(megabytes: int = LARGEST_MB) -> Iterator[None]:
    """Let this process hold no more than this; beyond it `MemoryError` is raised.

    The bound is the whole process's and is put back after; a tighter one stays as it is.
    """
    soft, hard = resource.getrlimit(resource.RLIMIT_DATA)
    most = (megabytes - _BESIDE_MB) * 1024 * 1024
    if soft != resource.RLIM_INFINITY:
        most = min(most, soft)
    resource.setrlimit(resource.RLIMIT_DATA, (most, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_DATA, (soft, hard))

"""Finding the libraries that draw text, without starting a compiler to look for them."""

import ctypes.util
import sys
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def looked_up_quickly() -> Iterator[None]:
    """For loading the PDF renderer.

    It asks for each library by half a dozen names, those of other systems first. On Linux Python looks for a name that
    is not there with `ldconfig`, `gcc` and `ld`, fifty processes in all, which takes longer than making a sheet; and
    then the name that the system knows loads at once. So only that way is left here.
    """
    kept = ctypes.util.find_library
    if sys.platform == "linux":
        ctypes.util.find_library = lambda name: None
    try:
        yield
    finally:
        ctypes.util.find_library = kept

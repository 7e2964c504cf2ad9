"""What was computed from documents, kept while the site runs: a digest never changes its meaning."""

from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterable
from threading import Lock
from typing import Generic, TypeVar

K = TypeVar("K", bound=Hashable)
V = TypeVar("V")


class Remembered(Generic[K, V]):
    """At most `size` values, the ones that were put in last. Threads may share it."""

    def __init__(self, size: int) -> None:
        self._size = size
        self._values: OrderedDict[K, V] = OrderedDict()
        self._lock = Lock()

    def get(self, keys: Iterable[K]) -> dict[K, V]:
        """Those of `keys` that are known."""
        with self._lock:
            return {key: self._values[key] for key in keys if key in self._values}

    def put(self, key: K, value: V) -> None:
        """Keep a value; the oldest one goes where there are too many."""
        with self._lock:
            self._values[key] = value
            while len(self._values) > self._size:
                self._values.popitem(last=False)

    def once(self, key: K, make: Callable[[], V]) -> V:
        """The value of `key`; where it is not known, what `make` gives is kept for it."""
        known = self.get([key])
        if key not in known:
            known[key] = make()
            self.put(key, known[key])
        return known[key]

    def forget(self) -> None:
        """Forget everything."""
        with self._lock:
            self._values.clear()

"""A bounded memory shared between threads; it saves work and changes no answer."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

Value = TypeVar("Value")


class Memory(Generic[Value]):
    """Keeps the latest `capacity` values.

    Two threads may both make a value; the first one kept is the one both get, so
    that whoever compares values by identity may do so.
    """

    def __init__(self, capacity: int) -> None:
        self._capacity = capacity
        self._values: OrderedDict[Hashable, Value] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, key: Hashable, make: Callable[[], Value]) -> Value:
        """The value kept under `key`, made now if it is not there."""
        # Reading needs no lock: an entry is whole or absent.
        found = self._values.get(key)
        if found is not None:
            return found
        made = make()
        with self._lock:
            kept = self._values.setdefault(key, made)
            if len(self._values) > self._capacity:
                self._values.popitem(last=False)
        return kept

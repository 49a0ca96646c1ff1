"""A bounded memory of answers; it saves work and never changes an answer."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

Value = TypeVar("Value")


class Memo(Generic[Value]):
    """Keeps the `capacity` most recently used values."""

    def __init__(self, capacity: int) -> None:
        self._capacity = capacity
        self._values: OrderedDict[Hashable, Value] = OrderedDict()

    def get(self, key: Hashable, make: Callable[[], Value]) -> Value:
        """Return the value kept under `key`, made now if it is not there."""
        if key in self._values:
            self._values.move_to_end(key)
            return self._values[key]
        value = make()
        self._values[key] = value
        if len(self._values) > self._capacity:
            self._values.popitem(last=False)
        return value

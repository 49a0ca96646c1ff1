"""A bounded memory of answers; it saves work and never changes an answer."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

Value = TypeVar("Value")


class Memo(Generic[Value]):
    """Keeps the `capacity` most recently used values; not safe between threads."""

    def __init__(self, capacity: int) -> None:
        self._capacity = capacity
        self._values: OrderedDict[Hashable, Value] = OrderedDict()
        self._last: tuple[Hashable, Value] | None = None

    def get(self, key: Hashable, make: Callable[[], Value]) -> Value:
        """Return the value kept under `key`, made now if it is not there.

        The key asked last is known by identity: hashing a tuple of 50,000 literals
        takes longer than evaluating what they stand for.
        """
        if self._last is not None and self._last[0] is key:
            return self._last[1]
        if key in self._values:
            self._values.move_to_end(key)
            value = self._values[key]
        else:
            value = make()
            self._values[key] = value
            if len(self._values) > self._capacity:
                self._values.popitem(last=False)
        self._last = key, value
        return value

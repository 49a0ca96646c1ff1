"""A typed-in request and what becomes of it, shared by tests."""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

import pytest

from bomsvc.core.terms.problems import BadInput, Problem
from bomsvc.service.replies.size import (
    size_reply,
)
from bomsvc.service.sizing import size

REQUEST: dict[str, Any] = {
    "standard": "ISO 4762",
    "thread": "M10x1.5",
    "property_class": "10.9",
    "layers": [
        {"name": "cover", "mm": 34.0, "tol": 0.2},
        {"name": "gasket", "mm": 0.8, "tol": 0.1, "soft": True},
    ],
    "into": {
        "form": "blind",
        "threaded_mm": 24.0,
        "drilled_mm": 31.3,
        "entry_mm": 1.0,
        "entry_tol": 0.25,
        "material": "grey_iron",
        "strength_mpa": None,
    },
    "engagement_mm": None,
    "lengths_mm": None,
}
THROUGH = {"form": "through", "thickness_mm": 24, "material": "steel"}


def changed(**changes: Any) -> dict[str, Any]:
    """The request with fields changed; `into__x` changes a field of `into`."""
    request = copy.deepcopy(REQUEST)
    for name, value in changes.items():
        outer, _, inner = name.partition("__")
        target = request[outer] if inner else request
        if value is ...:
            del target[inner or outer]
        else:
            target[inner or outer] = value
    return request


def reply_to(**changes: Any) -> dict[str, Any]:
    return size_reply(size(changed(**changes)))


def problems_of(
    request: Any, use_case: Callable[[Any], Any] = size
) -> list[tuple[str, str]]:
    return [(p.pointer, p.code) for p in refusals_of(request, use_case)]


def refusals_of(
    request: Any, use_case: Callable[[Any], Any] = size
) -> tuple[Problem, ...]:
    with pytest.raises(BadInput) as caught:
        use_case(request)
    return caught.value.problems

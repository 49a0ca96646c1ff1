"""Whatever is typed in, a screw by hand is sized or refused by field, never worse."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from bomsvc.core.terms.problems import BadInput, Problem
from bomsvc.service.replies.size import Json, size_reply, torque_reply
from bomsvc.service.sizing import size, torque
from bomsvc.service.sizing_text import request_from_text

GOOD: dict[str, Any] = {
    "standard": "ISO 4762",
    "thread": "M10",
    "property_class": "10.9",
    "units": "mm",
    "layers": [{"name": "cover", "mm": 34, "tol": 0.2}, {"washer": "ISO 7089"}],
    "into": {
        "form": "blind",
        "threaded_mm": 24,
        "drilled_mm": 32,
        "entry_mm": 1,
        "entry_tol": 0.25,
        "material": "grey_iron",
        "strength_mpa": 250,
    },
    "engagement_mm": 10,
    "lengths_mm": [50, 55],
    "threads": "oiled",
    "friction": 0.12,
}

scalars = (
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=12)
    | st.sampled_from(
        ["M8", "M24x1.5", "3/8-16", "12.9", "grade 5", "ISO 4014", "ASME B18.3",
         "through", "nut", "inch", "steel", "sealant", 0, 0.5, 3, 12, 45, 1999]
    )
)  # fmt: skip
values = st.recursive(
    scalars,
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["mm", "tol", "form", "thickness_mm", "height_mm", "in"]),
            inner,
            max_size=3,
        )
    ),
    max_leaves=6,
)
places = st.sampled_from(
    [(name,) for name in GOOD]
    + [("into", name) for name in (*GOOD["into"], "thickness_mm", "height_mm")]
    + [("layers", 0), ("layers", 1), ("layers", 0, "mm"), ("layers", 0, "tol")]
    + [("lengths_mm", 0), ("surprise",)]
)


def _put(request: Any, place: tuple[Any, ...], value: object) -> None:
    *way, last = place
    for step in way:
        try:
            request = request[step]
        except (KeyError, IndexError, TypeError):
            return
    if isinstance(request, dict) or (isinstance(request, list) and request):
        try:
            request[last] = value
        except (IndexError, TypeError):
            return


def _outcome(call: Callable[[], Json]) -> Json | tuple[Problem, ...]:
    """The reply, or the problems it was refused with; anything else is a bug."""
    try:
        return call()
    except BadInput as refused:
        return refused.problems


@settings(max_examples=400, deadline=None)
@given(st.lists(st.tuples(places, values), max_size=4))
def test_a_typed_in_screw_is_sized_or_refused(
    changes: list[tuple[tuple[Any, ...], object]],
) -> None:
    request = copy.deepcopy(GOOD)
    for place, value in changes:
        _put(request, place, value)
    reply = _outcome(lambda: size_reply(size(request)))
    if isinstance(reply, tuple):
        assert reply
        assert all(p.detail and p.pointer.startswith("/") for p in reply)
    else:
        assert (reply["chosen"] is None) == (reply["failure"] is not None)
        assert json.loads(json.dumps(reply, allow_nan=False)) == reply


@settings(max_examples=150, deadline=None)
@given(st.dictionaries(st.sampled_from([*GOOD, "hole", "soft", "utilisation"]), values))
def test_a_typed_in_torque_is_estimated_or_refused(changes: dict[str, object]) -> None:
    request = {name: GOOD[name] for name in ("standard", "thread", "property_class")}
    reply = _outcome(lambda: torque_reply(torque({**request, **changes})))
    if isinstance(reply, tuple):
        assert reply
    else:
        json.dumps(reply, allow_nan=False)
        assert (reply["torque_nm"] is None) == bool(reply["refused"])


@settings(max_examples=200, deadline=None)
@given(
    st.text(alphabet="0123456789+-./=, softblindmme", max_size=20),
    st.text(alphabet="0123456789+-./=, blindnutthreadedentry", max_size=30),
)
def test_any_text_is_read_or_refused(layer: str, into: str) -> None:
    words: dict[str, Any] = {
        "standard": "ISO 4762",
        "thread": "M10",
        "property_class": "10.9",
    }
    reply = _outcome(
        lambda: size_reply(size(request_from_text(**words, layers=[layer], into=into)))
    )
    assert reply

"""Screws by hand: size, torque, threads."""

from __future__ import annotations

from bomsvc.api.operation import Call, Operation, Reply
from bomsvc.core.terms.problems import BadInput
from bomsvc.service.permissions import Permission
from bomsvc.service.refusals import Missing


def size(call: Call) -> Reply:
    """Size a screw from typed-in figures."""
    from bomsvc.service import sizing
    from bomsvc.service.replies.size import size_reply

    return Reply(body=size_reply(sizing.size(call.body)))


def torque(call: Call) -> Reply:
    """Estimate the torque of a screw from typed-in figures."""
    from bomsvc.service import sizing
    from bomsvc.service.replies.size import torque_reply

    return Reply(body=torque_reply(sizing.torque(call.body)))


def thread(call: Call) -> Reply:
    """Show a thread and its figures."""
    from bomsvc.service import sizing
    from bomsvc.service.replies.size import thread_reply

    designation = call.path["designation"]
    try:
        return Reply(body=thread_reply(sizing.thread(designation)))
    except BadInput as bad:
        # A thread nobody knows is an address that leads nowhere.
        first = bad.problems[0]
        raise Missing(first.detail, remedy=first.remedy) from None


_SIZE_EXAMPLE = {
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

OPERATIONS = (
    Operation(
        "sizeScrew",
        "POST",
        "/fasteners/size",
        Permission.FASTENER_SIZE,
        "Size a screw for a clamped stack and a hole or nut.",
        size,
        body="json",
        example=_SIZE_EXAMPLE,
    ),
    Operation(
        "estimateTorque",
        "POST",
        "/fasteners/torque",
        Permission.FASTENER_SIZE,
        "Estimate the tightening torque of a screw, for a stated friction.",
        torque,
        body="json",
        example={
            "standard": "ISO 4762",
            "thread": "M10",
            "property_class": "10.9",
            "friction": 0.12,
        },
    ),
    Operation(
        "getThread",
        "GET",
        "/fasteners/threads/<path:designation>",
        Permission.FASTENER_SIZE,
        "Show a thread's figures.",
        thread,
        replies=(200, 404),
    ),
)

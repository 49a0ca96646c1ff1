"""Fasteners: from a clamped stack to a screw, with the figures that prove it."""

from __future__ import annotations

from bomsvc.core.fasteners.sizing import BoundGroup, bound_group, choose, size_joint

__all__ = ["BoundGroup", "bound_group", "choose", "size_joint"]

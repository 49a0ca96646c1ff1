"""A revision's standing catalogue with its conditions put into another model."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from bomsvc.core.logic.standing import (
    Lit,
    Standing,
    StandingGroup,
    StandingJoint,
    StandingPosition,
    StandingStep,
)

Into = Callable[[int], Lit]


def moved(standing: Standing, into: Into) -> Standing:
    """Return the same catalogue, every literal `x` replaced by `into(x)`."""
    return replace(
        standing,
        positions={k: _position(p, into) for k, p in standing.positions.items()},
        joints={k: _joint(j, into) for k, j in standing.joints.items()},
        steps={k: _step(s, into) for k, s in standing.steps.items()},
        jobs={k: replace(j, exists=into(j.exists)) for k, j in standing.jobs.items()},
    )


def _position(position: StandingPosition, into: Into) -> StandingPosition:
    fitments = (replace(f, applies=into(f.applies)) for f in position.fitments)
    return replace(position, exists=into(position.exists), fitments=tuple(fitments))


def _joint(joint: StandingJoint, into: Into) -> StandingJoint:
    groups = tuple(_group(group, into) for group in joint.groups)
    return replace(joint, exists=into(joint.exists), groups=groups)


def _group(group: StandingGroup, into: Into) -> StandingGroup:
    stated = (replace(s, applies=into(s.applies)) for s in group.stated)
    return replace(group, exists=into(group.exists), stated=tuple(stated))


def _step(step: StandingStep, into: Into) -> StandingStep:
    uses = (replace(use, applies=into(use.applies)) for use in step.uses)
    return replace(step, exists=into(step.exists), uses=tuple(uses))

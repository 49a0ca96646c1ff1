"""Places studied, and remembered where nothing about them is open.

What a settled place takes depends on nothing but its demand and the truth of its
own conditions. It is studied once for each, whatever build or request it comes from;
an open place is studied over its cases every time.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from weakref import WeakKeyDictionary

from bomsvc.core.logic.standing import Key, Lit
from bomsvc.core.resolve.asking import Asked, asked_by, everything
from bomsvc.core.resolve.demand import Demand
from bomsvc.core.resolve.faults import joint_faults, position_faults
from bomsvc.core.resolve.items import ItemKey, includer_closure
from bomsvc.core.resolve.layout import Layout
from bomsvc.core.resolve.lines import Fault, Place, PlaceKind
from bomsvc.core.resolve.memory import Memory
from bomsvc.core.resolve.plans import Planned
from bomsvc.core.resolve.scope import Scope
from bomsvc.core.resolve.studies import (
    JointStudy,
    Study,
    joint_all_literals,
    position_literals,
    step_literals,
    study_joint,
    study_position,
    study_step,
)
from bomsvc.core.resolve.view import View
from bomsvc.core.work import Plan

_PLACES_KEPT = 20_000
_REQUESTS_KEPT = 256
_CASES_KEPT = 16
"""Cases of a request that is remembered, at most."""


@dataclass(frozen=True, slots=True)
class Task:
    """A place to study: what asks for it, and the conditions it depends on.

    `demands`: its own, then those of the positions whose part may bring it along;
    of a joint, those of its groups.
    """

    kind: PlaceKind
    key: Key
    demands: tuple[Demand | None, ...]
    variables: tuple[int, ...]


LineKey = tuple[object, ...]
"""What certain contributions merge by."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A place studied: a position, a step, or all asked groups of a joint.

    `certain`: what it takes for certain, as the number of the study, what it merges
    by, and the item.
    """

    task: Task
    studies: tuple[Study, ...]
    certain: tuple[tuple[int, LineKey, ItemKey], ...]
    joint: JointStudy | None = None
    faults: tuple[Fault, ...] = ()
    warnings: tuple[Fault, ...] = ()


class Request:
    """The tasks of one scope and plan, made once and shared between builds.

    It keeps no look-ups, so that they can be let go while it is remembered.
    """

    def __init__(self, layout: Layout, asked: Asked) -> None:
        self.asked = asked
        self.tasks = tuple(_tasks(layout, asked))

    @cached_property
    def variables(self) -> tuple[int, ...]:
        """Every condition the request's places depend on, each once, sorted."""
        return tuple(sorted({v for task in self.tasks for v in task.variables}))


_PLACES: WeakKeyDictionary[Layout, Places] = WeakKeyDictionary()
_lock = threading.Lock()


def places_of(layout: Layout) -> Places:
    """The remembered places of a catalogue, kept as long as its look-ups are."""
    with _lock:
        return _PLACES.setdefault(layout, Places())


class Places:
    """The requests and the settled places of one catalogue, the latest kept."""

    def __init__(self) -> None:
        self._placed: Memory[Placed] = Memory(_PLACES_KEPT)
        self._requests: Memory[Request] = Memory(_REQUESTS_KEPT)

    def request(
        self,
        view: View,
        layout: Layout,
        scope: Scope,
        planned: Planned | None,
        *,
        pins: tuple[Key, ...] = (),
    ) -> Request:
        """The tasks of the scope; the same object for the same scope and plans."""

        def make() -> Request:
            return Request(layout, asked_by(view, layout, scope, planned, pins=pins))

        known_by = _known_by(planned)
        if known_by is None:
            return make()
        return self._requests.get((scope, pins, known_by), make)

    def everything(self, view: View, layout: Layout) -> list[Placed]:
        """All that sits on the engine, whatever is included in what."""
        request = self._requests.get(
            "everything", lambda: Request(layout, everything(layout))
        )
        return self.place(view, layout, request)

    def place(self, view: View, layout: Layout, request: Request) -> list[Placed]:
        """Every place asked for: positions, joints, steps, in document order."""
        view.look_at(request.variables)
        return [self._place(view, layout, request, task) for task in request.tasks]

    def _place(
        self, view: View, layout: Layout, request: Request, task: Task
    ) -> Placed:
        values = view.values(task.variables)
        if values is None or any(d is not None and d.doubtful for d in task.demands):
            return _studied(view, layout, request.asked, task)
        # A kept place holds its task and so its demands: no other demand can take
        # over their identity while it is kept.
        identities = tuple(map(id, task.demands))
        return self._placed.get(
            (task.kind, task.key, identities, values),
            lambda: _studied(view, layout, request.asked, task),
        )


def _known_by(planned: Planned | None) -> tuple[object, ...] | None:
    """What plans are recognised by; None: they are not to be remembered.

    The request keeps the plans, so their identity is theirs alone; where they are
    many they would fill the memory of the service.
    """
    if planned is None:
        return ()
    if not planned.complete or len(planned.cases) > _CASES_KEPT:
        return None
    if any(not isinstance(c.plan, Plan) for c in planned.cases):
        return None
    return (planned.lits, tuple((c.vector, id(c.plan)) for c in planned.cases))


def _tasks(layout: Layout, asked: Asked) -> Iterator[Task]:
    for key, demand in asked.positions.items():
        owners = includer_closure(layout, key)
        demands = (demand, *(asked.positions.get(owner) for owner in owners))
        lits = position_literals(layout, key, asked.positions)
        yield Task("position", key, demands, _variables(lits))
    for key, groups in asked.groups.items():
        lits = joint_all_literals(layout, key, groups)
        yield Task("joint", key, tuple(groups.values()), _variables(lits))
    for key, demand in asked.steps.items():
        lits = step_literals(layout, key, demand)
        yield Task("step", key, (demand,), _variables(lits))


def _variables(lits: Sequence[Lit]) -> tuple[int, ...]:
    return tuple(sorted({abs(lit) for lit in lits}))


def _studied(view: View, layout: Layout, asked: Asked, task: Task) -> Placed:
    if task.kind == "joint":
        joint = layout.compiled.standing.joints[task.key]
        found = study_joint(view, layout, joint, asked.groups[task.key])
        faults, warnings = map(tuple, joint_faults(layout, found))
        certain = _certain(found.groups)
        return Placed(task, found.groups, certain, found, faults, warnings)
    if task.kind == "step":
        studies = (study_step(view, layout, task.key, asked.steps[task.key]),)
        return Placed(task, studies, _certain(studies))
    study = study_position(view, layout, task.key, asked.positions)
    demand = asked.positions[task.key]
    wrong = tuple(position_faults(view, layout, study, demand))
    return Placed(task, (study,), _certain((study,)), faults=wrong)


def _certain(studies: Sequence[Study]) -> tuple[tuple[int, LineKey, ItemKey], ...]:
    return tuple(
        (number, _line_key(study.place, key), key)
        for number, study in enumerate(studies)
        for key in _certain_keys(study)
    )


def _certain_keys(study: Study) -> list[ItemKey]:
    if study.settled:
        return [item.key for item in study.items[0]]
    certain = study.certain()
    return [key for key in study.taken() if key in certain]


def _line_key(place: Place, key: ItemKey) -> LineKey:
    """What merges: need and part; for screws also the group, any member."""
    need, part, wanted, _ = key
    if place.kind != "joint":
        return (need, part, wanted)
    return (need, part, wanted, place.key.partition("[")[0], place.group)

"""The same question about the demo family, the same reply, past every cache."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.resolve import Resolved, read_scope, resolve

if TYPE_CHECKING:
    from bomsvc.core.logic.builds import Build
    from tests.unit.seed.conftest import Demo


def questions(demo: Demo, reasoner: Reasoner) -> list[tuple[str, float]]:
    scope = read_scope(demo.compiled, {"whole": True})
    found = resolve(reasoner, demo.known({}), scope)
    assert isinstance(found, Resolved)
    return [(q.option, q.expected_after) for q in found.questions]


def test_the_whole_engine_asks_the_same_whatever_was_asked_before(
    demo: Demo, some_builds: list[Build]
) -> None:
    first = questions(demo, Reasoner(demo.compiled))
    assert len(first) > 8
    used = Reasoner(demo.compiled)
    for build in some_builds[:20]:
        used.identify(demo.known(build.answers))
    assert questions(demo, used) == first
    assert questions(demo, used) == first
    assert questions(demo, Reasoner(demo.compiled, solver="cadical153")) == first

"""The use case that explains why a part is on a list, or why it is not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.resolve.explain import Explained, explain_part
from bomsvc.core.resolve.lines import Clashing as CoreClash
from bomsvc.core.resolve.scope import Scope, read_by_way_of, read_scope
from bomsvc.core.terms.problems import BadInput, Problem
from bomsvc.core.terms.words import nearest, part_identity
from bomsvc.service.builds import (
    Asked,
    Problems,
    Stand,
    reach,
    refuse_clash,
    settled,
    stand_of,
)
from bomsvc.service.desk import Desk
from bomsvc.service.replies.why import why_reply
from bomsvc.service.telling import place_told, summary

Json = dict[str, object]
WHOLE: Mapping[str, object] = {"whole": True}
"""What is asked for where nothing is named: everything that is on the engine."""


@dataclass(frozen=True, slots=True)
class Why:
    """Why a part is on the list of a scope, or is not."""

    stand: Stand
    scope: Scope
    explained: Explained

    def reply(self) -> Json:
        """Return the explanation in the shape of the reply.

        `words` says the same in sentences, of the whole and of each place.
        """
        reply = why_reply(self.explained)
        shown = reply["places"]
        assert isinstance(shown, list)
        told = zip(shown, self.told(), strict=True)
        places = [
            {**place, "label": label, "words": " ".join(words)}
            for place, (label, words) in told
        ]
        return {
            "revision": self.stand.revision(),
            **reply,
            "words": self.summary(),
            "places": places,
        }

    def summary(self) -> str:
        """Return in a sentence whether the list has the part."""
        return summary(self.stand.reasoner, self.scope, self.explained)

    def told(self) -> list[tuple[str, tuple[str, ...]]]:
        """Return each place's name and what decides about it, in sentences."""
        return place_told(self.stand.reasoner, self.explained)


def explain_line(
    desk: Desk,
    family: str,
    asked: Asked,
    *,
    part: str,
    scope: Mapping[str, object] | None = None,
    by_way_of: Sequence[str] = (),
) -> Why:
    """Explain why a part is on the scope's list for this engine, or is not.

    Args:
        desk: The service's ports.
        family: The family's code.
        asked: What is known of the engine.
        part: The part's number, in any spelling of the same identity.
        scope: What the list is for; None for the whole engine.
        by_way_of: Steps pinned as the way in.

    Raises:
        Missing, Conflict, BadInput: As for `resolve_build`, and an unknown part.
        Clashing: The answers contradict one another, so there is no list.
    """
    with desk.store.read() as uow:
        head, reasoner = reach(desk, uow, family, asked.revision)
    problems = Problems()
    stand = problems.keep(lambda: stand_of(head, reasoner, asked))
    wanted = problems.keep(lambda: read_scope(reasoner.compiled, scope or WHOLE))
    pinned = problems.keep(lambda: read_by_way_of(reasoner.compiled, [*by_way_of]))
    number = problems.keep(lambda: _number(reasoner, part))
    problems.raise_any()
    assert stand is not None, "a request without problems has its answers"
    assert wanted is not None, "a request without problems has its scope"
    assert number is not None, "a request without problems has its part"
    refuse_clash(stand)
    with settled():
        explained = explain_part(
            reasoner, stand.known, wanted, number, by_way_of=pinned or ()
        )
    assert not isinstance(explained, CoreClash), "a clash was refused before"
    return Why(stand, wanted, explained)


def _number(reasoner: Reasoner, typed: str) -> str:
    """Return the part's number as the catalogue writes it."""
    catalogue = reasoner.compiled.catalogue
    numbers = {part_identity(part.number): part.number for part in catalogue.parts}
    found = numbers.get(part_identity(typed))
    if found is None:
        near = nearest(part_identity(typed), numbers)
        problem = Problem(
            "/part",
            f"{catalogue.family.name} has no part {typed!r}.",
            "part_unknown",
            remedy=None if near is None else numbers[near],
        )
        raise BadInput([problem])
    return found

"""Positions and fitments: gaps, overlaps, what no build uses."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import combinations

from bomsvc.core.logic.builds import Build
from bomsvc.core.logic.gates import negated
from bomsvc.core.logic.standing import FALSE, TRUE, Key, Lit, StandingPosition
from bomsvc.core.prove.findings import Finding
from bomsvc.core.prove.ground import Ground
from bomsvc.core.prove.questions import Question, not_proven, plain
from bomsvc.core.prove.subject import Subject, applying, listed


def position_questions(subject: Subject) -> Iterator[Question]:
    """Yield, per position, "is there a build with a gap", "with an overlap"."""
    exclusive = Exclusive(subject)
    alike: dict[tuple[Lit, ...], tuple[Lit, ...]] = {}
    for standing in subject.standing.positions.values():
        fill = standing.position.fill
        if fill == "several":
            continue
        lits = applying(standing)
        if fill == "one" and standing.exists not in lits:
            empty = (standing.exists, *map(negated, lits))
            yield _question(subject, "position_gap", standing, empty)
        if fill == "optional":
            empty = (standing.exists, *map(negated, lits))
            yield _question(subject, "position_empty", standing, empty)
        if len(lits) > 1:
            clash = alike.get(lits)
            if clash is None:
                clash = alike[lits] = _clashes(subject, exclusive, lits)
            if clash:
                yield _question(subject, "position_overlap", standing, clash)


def _clashes(
    subject: Subject, exclusive: Exclusive, lits: Sequence[Lit]
) -> tuple[Lit, ...]:
    """Return what holds when two apply at once; () when the form rules it out."""
    pairs = [
        (a, b)
        for a, b in combinations(lits, 2)
        if not (subject.by_form and exclusive.of(a, b))
    ]
    if not pairs:
        return ()
    if len(pairs) == 1:
        return pairs[0]
    gates = subject.circuit
    return (gates.any_of([gates.all_of(pair) for pair in pairs]),)


class Exclusive:
    """Tells which conditions exclude each other by their form alone.

    Two conjunctions do when one has the negation of a part of the other, or both
    name different choices of one option. What is not told is asked of the solver.
    """

    def __init__(self, subject: Subject) -> None:
        self._inputs = subject.compiled.model.inputs_of
        self._beside: dict[int, tuple[int, ...]] = {}
        self._above: dict[int, Lit] = {}
        for option in subject.compiled.options.values():
            lits = tuple(option.choices.values())
            for lit in lits:
                if option.option.choose == "one":
                    self._beside[lit] = tuple(x for x in lits if x != lit)
                if option.active != TRUE:
                    self._above[lit] = option.active
        self._parts: dict[Lit, tuple[frozenset[int], frozenset[int]]] = {}

    def of(self, one: Lit, other: Lit) -> bool:
        """Return whether the two exclude each other by form."""
        if one == -other:
            return True
        return not self._of(one)[0].isdisjoint(self._of(other)[1])

    def _of(self, lit: Lit) -> tuple[frozenset[int], frozenset[int]]:
        """Return what the literal says, and what it excludes."""
        found = self._parts.get(lit)
        if found is None:
            said: set[int] = set()
            waiting: list[int] = [lit]
            while waiting:
                part = waiting.pop()
                if part in said:
                    continue
                said.add(part)
                if part > 0:
                    waiting.extend(self._inputs(part))
                if part in self._above:
                    waiting.append(self._above[part])
            excluded = {-part for part in said}
            for part in said:
                excluded.update(self._beside.get(part, ()))
            found = self._parts[lit] = frozenset(said), frozenset(excluded)
        return found


def _question(
    subject: Subject, code: str, standing: StandingPosition, lits: tuple[Lit, ...]
) -> Question:
    key, pointer = (
        standing.key,
        subject.pointer("positions", standing.position.code),
    )

    def sentence(build: Build) -> str:
        return _SENTENCES[code](subject, standing, build)

    return Question(code, key, pointer, lits, sentence)


def _gap(subject: Subject, standing: StandingPosition, build: Build) -> str:
    del build
    name = subject.label(standing.key)
    parts = dict.fromkeys(
        f.fitment.part for f in standing.fitments if f.fitment.rank == 1
    )
    if not parts:
        return f"{name} must hold one part where it exists, and no part is listed."
    told = listed(subject.part_name(part) for part in parts)
    verb = "does" if len(parts) == 1 else "do"
    return (
        f"{name} must hold one part where it exists, and in this build none is "
        f"listed: {told} {verb} not apply."
    )


def _overlap(subject: Subject, standing: StandingPosition, build: Build) -> str:
    there = [
        f.fitment.part
        for f in standing.fitments
        if f.fitment.rank == 1 and build.truth(f.applies)
    ]
    told = listed(subject.part_name(part) for part in there)
    return (
        f"{subject.label(standing.key)} holds one part at a time, and in this build "
        f"{len(there)} are listed: {told}."
    )


def _empty(subject: Subject, standing: StandingPosition, build: Build) -> str:
    del build
    return f"{subject.label(standing.key)} is optional, and is empty in some builds."


_SENTENCES = {
    "position_gap": _gap,
    "position_overlap": _overlap,
    "position_empty": _empty,
}


def check_fitments(subject: Subject, ground: Ground) -> Iterator[Finding]:
    """Yield the fitments that no build uses."""
    applies: dict[int, list[Lit]] = defaultdict(list)
    keys: dict[int, Key] = {}
    for standing in subject.standing.positions.values():
        for fitment in standing.fitments:
            applies[fitment.index].append(fitment.applies)
            keys.setdefault(fitment.index, standing.key)
    flat = [lit for lits in applies.values() for lit in lits]
    dead = dict(zip(flat, ground.never(flat), strict=True))
    labels = {place.code: place.label for place in subject.catalogue.positions}
    for index, source in enumerate(subject.catalogue.fitments):
        verdicts = [dead[lit] for lit in applies.get(index, [FALSE]) if lit in dead]
        if False in verdicts:
            continue
        at, pointer = str(source.position), f"/fitments/{index}"
        if None in verdicts:
            yield not_proven(at, pointer, "fitment_dead")
            continue
        part = subject.part_name(source.part)
        label = labels[source.position.code]
        detail = f"No valid build ever has {part} as {label}."
        yield plain("fitment_dead", at, pointer, detail)


def check_parts(subject: Subject, ground: Ground) -> Iterator[Finding]:
    """Yield the parts that nothing in the document uses."""
    del ground
    used = _used(subject)
    for part in subject.catalogue.parts:
        if part.number in used or _is_on_offer(subject, part.number):
            continue
        detail = (
            f"{subject.part_name(part.number)} is listed, but no position, step, "
            "joint or set uses it."
        )
        pointer = subject.pointer("parts", part.number)
        yield plain("part_unused", part.number, pointer, detail)


def _used(subject: Subject) -> set[str]:
    document = subject.catalogue
    used = {fitment.part for fitment in document.fitments}
    used |= {use.part for step in document.steps for use in step.uses}
    groups = [group for joint in document.joints for group in joint.groups]
    used |= {stated.part for group in groups for stated in group.stated}
    for part in document.parts:
        if part.sold_as is not None:
            used.add(part.sold_as.number)
            used |= {content.part for content in part.sold_as.contents}
    return used


def _is_on_offer(subject: Subject, number: str) -> bool:
    """Tell whether the part is a screw of a kind that some group of holes wants."""
    screw = subject.parts[number].screw
    if screw is None:
        return False
    wanted = [g.screw for j in subject.catalogue.joints for g in j.groups if g.screw]
    return any(
        screw.standard in w.standard
        and screw.property_class == w.property_class
        and (w.finish is None or w.finish == screw.finish)
        for w in wanted
    )

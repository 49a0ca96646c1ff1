"""Joints: every distinct combination of the whole joint that valid builds produce.

What sits at the holes (thicknesses, tolerances, holes, stated screws) depends on
conditions; the logic finds every combination of their truths, so that each is sized
once and no build is left out. An alternate (rank 2 and up) is tried by itself, with
rank 1 everywhere else.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fractions import Fraction

from bomsvc.core.catalogue.entities import Joint
from bomsvc.core.fasteners.names import get_class, get_screw_standard
from bomsvc.core.fasteners.threads import get_thread
from bomsvc.core.fasteners.torque import overstress
from bomsvc.core.fasteners.values import Shelf, SizedGroup
from bomsvc.core.logic.budget import Unsettled
from bomsvc.core.logic.known import NOTHING
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.standing import (
    Key,
    Lit,
    StandingFitment,
    StandingJoint,
    StandingPosition,
)
from bomsvc.core.prove.alike import AlikeJoints
from bomsvc.core.prove.findings import SEVERITY, Finding, Severity
from bomsvc.core.prove.ground import Ground
from bomsvc.core.prove.questions import not_proven
from bomsvc.core.prove.subject import Subject, joint_label
from bomsvc.core.resolve.sizing import (
    Combination,
    CombinationReader,
    joint_literals,
)
from bomsvc.core.resolve.stack import Unsized, screw_of
from bomsvc.core.resolve.view import Vector, View

COMBINATIONS_MOST = 10_000
"""Combinations of one joint beyond which it is not proven."""

Term = tuple[Lit, ...]
Wrong = tuple[str, Severity, str]
"""Code, severity and sentence."""


@dataclass(frozen=True, slots=True)
class Variant:
    """The joint as it stands, or with an alternate part in one of its positions."""

    positions: Mapping[Key, StandingPosition]
    given: Lit | None = None
    part: str | None = None


@dataclass(slots=True)
class Shown:
    """A finding's cases: the first sentence per case, and the terms that show it."""

    cases: list[tuple[Term, Wrong]] = field(default_factory=list)


class JointProof:
    """Sizes every combination of every joint; `combinations` counts them."""

    def __init__(self, subject: Subject, ground: Ground) -> None:
        self._subject = subject
        self._ground = ground
        screws = tuple(screw_of(p) for p in subject.catalogue.parts if p.screw)
        self._sized = AlikeJoints(subject.parts, Shelf(screws))
        reasoner = Reasoner(subject.compiled, budget=ground.budget)
        self._view = View(reasoner, NOTHING)
        self._looked = False
        self.combinations = 0

    def findings_of(self, joint: StandingJoint) -> Iterator[Finding]:
        """Yield what is wrong with one joint."""
        pointer = self._subject.pointer("joints", joint.joint.code)
        try:
            yield from self._findings_of(joint)
        except Unsettled:
            yield not_proven(joint.key, pointer, "screw_none_fits")

    def _findings_of(self, joint: StandingJoint) -> Iterator[Finding]:
        self._look_once()
        shown: dict[tuple[str, str], Shown] = defaultdict(Shown)
        left = COMBINATIONS_MOST
        for variant in self._variants(joint):
            count = self._study(joint, variant, shown, left)
            if count is None:
                yield self._too_many(joint)
                return
            left -= count
        self.combinations += COMBINATIONS_MOST - left
        for (group, code), found in shown.items():
            yield self._finding(joint, group, code, found)

    def _study(
        self,
        joint: StandingJoint,
        variant: Variant,
        shown: dict[tuple[str, str], Shown],
        limit: int,
    ) -> int | None:
        """Collect what is wrong; return how many combinations, or None past limit."""
        asked = joint_literals(joint, variant.positions)
        if variant.given is not None:
            asked = (*asked, variant.given)
        lits = self._view.open_among(asked)
        cases = self._view.cases(lits, limit=limit)
        if not cases.complete:
            return None
        self._ground.refute(
            tuple(Lit(-lit) for lit in _term(lits, vector)) for vector in cases.vectors
        )
        reader = CombinationReader(joint, variant.positions, lits, self._view)
        wrong: dict[Combination, list[tuple[str, Wrong]]] = {}
        for vector in cases.vectors:
            if not self._applies(variant, lits, vector):
                continue
            combination = reader.read(vector)
            if combination not in wrong:
                sized = self._sized.of(joint.joint, combination)
                wrong[combination] = list(_wrong(joint.joint, sized, variant.part))
            for group, found in wrong[combination]:
                term = _term(lits, vector)
                shown[group, found[0]].cases.append((term, found))
        return len(wrong)

    def _applies(self, variant: Variant, lits: Term, vector: Vector) -> bool:
        given = variant.given
        return given is None or self._view.truth(lits, vector)(given)

    def _variants(self, joint: StandingJoint) -> Iterator[Variant]:
        positions = self._subject.standing.positions
        yield Variant(positions)
        for key in _positions_of(joint):
            standing = positions[key]
            for fitment in standing.fitments:
                if fitment.fitment.rank > 1:
                    other = _with_alternate(standing, fitment)
                    yield Variant(
                        {**positions, key: other},
                        fitment.applies,
                        self._subject.part_name(fitment.fitment.part),
                    )

    def _look_once(self) -> None:
        """Settle every joint's conditions in one question."""
        if self._looked:
            return
        self._looked = True
        standing = self._subject.standing
        self._view.look(
            lit
            for joint in standing.joints.values()
            for lit in joint_literals(joint, standing.positions)
        )

    def _finding(
        self, joint: StandingJoint, group: str, code: str, shown: Shown
    ) -> Finding:
        terms = [term for term, _ in shown.cases]
        build = self._ground.least_of(terms)
        wrong = next(w for term, w in shown.cases if all(map(build.truth, term)))
        severity = min((w[1] for _, w in shown.cases), key=_GRAVEST.index)
        source = next(g for g in joint.joint.groups if g.code == group)
        label = source.label or f"holes {group}"
        return Finding(
            code,
            severity,
            f"{joint.key}.{group}",
            self._subject.pointer(
                "joints", joint.joint.code, "groups", joint.joint.groups.index(source)
            ),
            f"{joint_label(joint)}, {label}: {wrong[2]}",
            build,
            self._ground.shown(build),
        )

    def _too_many(self, joint: StandingJoint) -> Finding:
        detail = (
            f"{joint_label(joint)} has more than {COMBINATIONS_MOST:,} combinations "
            "of thicknesses and holes, so that its screws are not proven. Split the "
            "joint, or tie its options together by rules."
        )
        pointer = self._subject.pointer("joints", joint.joint.code)
        return Finding("not_proven", "fault", joint.key, pointer, detail)


_GRAVEST: tuple[Severity, ...] = ("fault", "warning", "note")


def _term(lits: Sequence[Lit], vector: Vector) -> Term:
    return tuple(
        lit if value else Lit(-lit) for lit, value in zip(lits, vector, strict=True)
    )


def _positions_of(joint: StandingJoint) -> dict[Key, None]:
    found: dict[Key, None] = {}
    for group in joint.groups:
        keys = [layer.position for layer in group.layers]
        keys += [k for k in (group.into, group.nut, group.stud) if k is not None]
        found.update(dict.fromkeys(keys))
    return found


def _with_alternate(
    standing: StandingPosition, fitment: StandingFitment
) -> StandingPosition:
    """Return the position with the alternate in place of what usually sits there."""
    first = replace(fitment, fitment=replace(fitment.fitment, rank=1))
    return replace(standing, fitments=(first,))


def _wrong(
    joint: Joint, sized: Mapping[str, SizedGroup | Unsized], alternate: str | None
) -> Iterator[tuple[str, Wrong]]:
    """Yield (group, what is wrong) for one combination of the joint."""
    tail = "" if alternate is None else f" (with the alternate {alternate})"
    for code, found in sized.items():
        if isinstance(found, Unsized):
            for flaw in found.flaws:
                text = f"{flaw.what[0].upper()}{flaw.what[1:]}{tail}."
                yield code, (flaw.code, SEVERITY[flaw.code], text)
            continue
        for finding in found.findings:
            text = finding.detail
            if tail:
                text = f"{text.rstrip('.')}{tail}."
            yield code, (finding.code, finding.severity, text)
        yield from _overstressed(joint, code, found)


def _overstressed(
    joint: Joint, group: str, sized: SizedGroup
) -> Iterator[tuple[str, Wrong]]:
    """Hold the greatest stated torque against the screw's proof load."""
    torque = _stated_torque_nm(joint, group)
    chosen = sized.chosen
    if torque is None or chosen is None or chosen.origin == "stud":
        return
    found = overstress(
        Fraction(torque),
        get_screw_standard(chosen.standard),
        get_thread(chosen.thread),
        get_class(chosen.property_class),
    )
    for finding in found:
        yield group, (finding.code, finding.severity, finding.detail)


def _stated_torque_nm(joint: Joint, group: str) -> Decimal | None:
    passes = joint.tighten.passes if joint.tighten else ()
    stated = [
        one.torque_nm
        for one in passes
        if one.torque_nm is not None and (not one.groups or group in one.groups)
    ]
    return max(stated, default=None)

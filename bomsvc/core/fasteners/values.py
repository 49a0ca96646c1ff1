"""What goes into the sizing of a joint, and what comes out.

Every length is an exact `Fraction` in millimetres; tolerances are magnitudes.
Threads, standards and property classes are the texts the trade writes
("M10x1.5", "ISO 4762", "10.9"); `threads`, `standards` and `classes` read them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, NamedTuple

Material = Literal["steel", "grey_iron", "ductile_iron", "aluminium"]
ThreadState = Literal["dry", "oiled", "sealant", "locking", "patch"]
BreaksInto = Literal["none", "coolant", "oil", "fuel"]
Reason = Literal[
    "too_little_engagement",
    "bottoms_out",
    "protrudes_too_far",
    "no_length_in_window",
    "shank_too_long",
    "wrong_thread",
]
Governs = Literal["stripping", "guide", "stated"]
Origin = Literal["catalogue", "stated", "series", "stud"]
FindingCode = Literal[
    "screw_none_fits",
    "screw_stated_fails",
    "screw_stated_overlap",
    "screw_not_listed",
    "screw_thin_margin",
    "screw_hard_to_start",
    "screw_overstressed",
]
JointForm = Literal["blind", "through", "nut", "stud"]
Severity = Literal["fault", "warning", "note"]

ZERO = Fraction(0)


@dataclass(frozen=True, slots=True)
class Layer:
    """One clamped layer, mm. A gasket's `mm` is its set thickness.

    A layer that stands several times in one stack (shims, two washers) is given
    once per piece, or with thickness and tolerances already multiplied.
    """

    name: str
    mm: Fraction
    plus: Fraction = ZERO
    minus: Fraction = ZERO
    soft: bool = False
    free_mm: Fraction | None = None


@dataclass(frozen=True, slots=True)
class BlindHole:
    """A tapped blind hole, mm from the mating face; depths are minima.

    `threaded_mm` is the depth of full thread, entry included; where it is None,
    `drilled_mm` less the run-out of DIN 76-1 is used. One of the two is given.
    """

    thread: str
    material: Material
    threaded_mm: Fraction | None = None
    drilled_mm: Fraction | None = None
    entry_mm: Fraction = ZERO
    entry_plus: Fraction = ZERO
    entry_minus: Fraction = ZERO
    strength_mpa: Fraction | None = None
    breaks_into: BreaksInto = "none"


@dataclass(frozen=True, slots=True)
class TappedThrough:
    """A hole tapped right through a part of `thickness_mm`."""

    thread: str
    material: Material
    thickness_mm: Fraction
    thickness_plus: Fraction = ZERO
    thickness_minus: Fraction = ZERO
    entry_mm: Fraction = ZERO
    entry_plus: Fraction = ZERO
    entry_minus: Fraction = ZERO
    exit_mm: Fraction = ZERO
    strength_mpa: Fraction | None = None
    breaks_into: BreaksInto = "none"


@dataclass(frozen=True, slots=True)
class NutSide:
    """A nut at the end of the stack; `thread` None: whatever the screw has."""

    height_mm: Fraction
    plus: Fraction = ZERO
    minus: Fraction = ZERO
    thread: str | None = None


@dataclass(frozen=True, slots=True)
class Stud:
    """A stud: overall length, and the length set into the hole from its face."""

    part: str | None
    hole_thread: str
    nut_thread: str
    property_class: str
    length_mm: Fraction
    plus: Fraction = ZERO
    minus: Fraction = ZERO
    set_mm: Fraction = ZERO
    set_plus: Fraction = ZERO
    set_minus: Fraction = ZERO
    stays: bool = False


@dataclass(frozen=True, slots=True)
class StudInto:
    """A stud set into a hole, with a nut over the clamped stack."""

    hole: BlindHole | TappedThrough
    nut: NutSide
    stud: Stud


Into = BlindHole | TappedThrough | NutSide | StudInto


@dataclass(frozen=True, slots=True)
class Wanted:
    """The kind of screw the joint asks for; standards in order of preference."""

    standards: tuple[str, ...]
    thread: str
    property_class: str
    finish: str | None = None


@dataclass(frozen=True, slots=True)
class Screw:
    """A screw somebody can hand over. `part` None: no number stands for it."""

    part: str | None
    standard: str
    thread: str
    length_mm: Fraction
    property_class: str
    finish: str | None = None
    fully_threaded: bool | None = None
    thread_mm: Fraction | None = None
    preferred: bool = False


class Shelf:
    """The screws on offer, shared by all joints of a catalogue.

    Compared by identity, so that one catalogue prepares its screws once however
    many stacks are sized against them.
    """

    __slots__ = ("prepared", "screws")

    def __init__(self, screws: Sequence[Screw] = ()) -> None:
        self.screws = tuple(screws)
        self.prepared: dict[object, object] = {}


@dataclass(frozen=True, slots=True)
class GroupStack:
    """One group of holes with one combination of the parts it clamps.

    `wanted` may be None where a screw is stated or the group has studs. `shelf`
    None: there is no catalogue, the standard's own series is sized by itself.
    `own_series` False keeps to the shelf and never tries the standard's own series.
    """

    code: str
    into: Into
    layers: tuple[Layer, ...] = ()
    wanted: Wanted | None = None
    hole_count: int = 1
    shelf: Shelf | None = None
    stated: tuple[Screw, ...] = ()
    engagement_mm: Fraction | None = None
    protrusion_mm: Fraction | None = None
    threads: ThreadState = "dry"
    own_series: bool = True


class Need(NamedTuple):
    """Required engagement of full thread, mm, and which figure governs it."""

    mm: Fraction
    governs: Governs
    stripping_mm: Fraction
    guide_mm: Fraction


class Margins(NamedTuple):
    """Room left, mm; negative fails. None: the joint has no such bound."""

    short: Fraction
    over: Fraction | None
    shank: Fraction | None

    def least(self) -> Fraction:
        """The smallest margin, mm."""
        return min(m for m in (self.short, self.over, self.shank) if m is not None)


class Miss(NamedTuple):
    """One bound that a length fails, and by how much (mm; None: no measure)."""

    reason: Reason
    by_mm: Fraction | None


class Rejected(NamedTuple):
    """A length that was tried and does not do, with every bound it fails."""

    length_mm: Fraction
    standard: str
    misses: tuple[Miss, ...]


class Failure(NamedTuple):
    """Why nothing fits (or why a stated screw does not), as facts.

    `sentences.failure_detail` says it in words.
    """

    reason: Reason
    by_mm: Fraction | None
    form: JointForm
    have_mm: Fraction | None = None
    need_mm: Fraction | None = None
    window_mm: tuple[Fraction, Fraction | None] | None = None
    shorter_mm: Fraction | None = None
    longer_mm: Fraction | None = None
    length_mm: Fraction | None = None
    threads: tuple[str, str] | None = None
    standard: str | None = None
    twin: str | None = None
    at_nut: bool = False
    parts: tuple[tuple[str, Fraction], ...] = ()


class Chosen(NamedTuple):
    """A screw that stands on the list, or could."""

    part: str | None
    designation: str
    standard: str
    thread: str
    length_mm: Fraction
    property_class: str
    fully_threaded: bool
    finish: str | None
    origin: Origin
    inch: bool = False


class StudFigures(NamedTuple):
    """Figures of a stud beside those of a screw, mm."""

    set_mm: Fraction
    length_mm: Fraction
    free_min_mm: Fraction
    free_needed_mm: Fraction
    free_margin_mm: Fraction
    stays: bool


class Finding(NamedTuple):
    """Something to report about a group; `severity` as in the proof report."""

    code: FindingCode
    severity: Severity
    detail: str


@dataclass(frozen=True, slots=True)
class SizedGroup:
    """The screw of one group, with the figures that prove it.

    Attributes:
        chosen: The line. A stated screw stands here even when it fails.
        failure: Why nothing fits, or why the stated screw fails.
        computed: Beside a stated screw: what the sizing itself would take.
        clamp_mm: Nominal, least and greatest clamped thickness.
        window_mm: Nominal lengths that would do; the upper end None: no limit.
        need: Required engagement; None with a nut.
        engagement_mm: Least and greatest full thread engaged; None with a nut.
        tip_mm: Projection beyond the nut or the far face, least and greatest.
        rejected: From the nearest failing shorter to the nearest failing longer.
        cautions: Codes of `cautions`, in the order they are shown.
    """

    code: str
    hole_count: int
    chosen: Chosen | None
    failure: Failure | None
    clamp_mm: tuple[Fraction, Fraction, Fraction]
    window_mm: tuple[Fraction, Fraction | None] | None = None
    need: Need | None = None
    engagement_mm: tuple[Fraction, Fraction] | None = None
    margins: Margins | None = None
    tip_mm: tuple[Fraction, Fraction] | None = None
    stud: StudFigures | None = None
    computed: Chosen | None = None
    alternatives: tuple[Chosen, ...] = ()
    rejected: tuple[Rejected, ...] = ()
    findings: tuple[Finding, ...] = ()
    cautions: tuple[str, ...] = ()

    def faults(self) -> tuple[Finding, ...]:
        """The findings that block."""
        return tuple(f for f in self.findings if f.severity == "fault")

    def warnings(self) -> tuple[Finding, ...]:
        """The findings that need a reason."""
        return tuple(f for f in self.findings if f.severity == "warning")

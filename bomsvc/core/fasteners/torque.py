"""Estimated tightening torque and preload, and stated torques held against a screw.

The estimate is for the screw's own limit at a stated friction. It is never the
maker's torque, and it is refused where it would mislead. Decimal arithmetic of
fixed precision makes it the same on every machine.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import ROUND_DOWN, Context, Decimal, localcontext
from fractions import Fraction
from functools import lru_cache
from typing import Literal, NamedTuple

from bomsvc.core.fasteners.candidates import figure
from bomsvc.core.fasteners.engagement import MATERIALS
from bomsvc.core.fasteners.kinds import ClearanceStandard, ScrewStandard, length
from bomsvc.core.fasteners.names import PropertyClass, of_kind
from bomsvc.core.fasteners.threads import Thread
from bomsvc.core.fasteners.values import Finding, Material, Need, ThreadState

DEFAULT_FRICTION = Fraction("0.12")
"""Threads and head lightly oiled: a choice, in the middle of class B."""
DEFAULT_UTILISATION = Fraction("0.9")
"""Share of the yield strength that the assembly stress may reach: VDI 2230."""

PITCH_TERM = Fraction("0.16")
THREAD_TERM = Fraction("0.58")
"""0.16 = 1/(2 pi) and 0.58 = 1/(2 cos 30), as VDI 2230 prints them, from memory;
confirmed by published pairs of the 2001 edition within 0.5 %."""
FLANK_TERM = Decimal("1.155")
"""1/cos 30, as VDI 2230 prints it, from memory."""

# VDI 2230 table A5, friction classes: lowest and highest, from memory.
FRICTION_CLASSES = (
    ("A", Fraction("0.04"), Fraction("0.10")),
    ("B", Fraction("0.08"), Fraction("0.16")),
    ("C", Fraction("0.14"), Fraction("0.24")),
    ("D", Fraction("0.20"), Fraction("0.35")),
    ("E", Fraction("0.30"), Fraction("0.45")),
)

_EXACT = Context(prec=34)
_PI = Decimal("3.141592653589793238462643383279503")
_FIGURES = 2

RefusalCode = Literal[
    "soft_layer", "engagement_short", "thread_state", "no_bearing_face", "no_screw"
]
PREPARED: tuple[ThreadState, ...] = ("sealant", "locking", "patch")
"""Thread states whose friction nobody knows unless it is stated."""


class TorqueAsk(NamedTuple):
    """What a torque is estimated for.

    Attributes:
        friction: Of threads and head alike; None: `DEFAULT_FRICTION`.
        utilisation: Share of the yield strength.
        soft: Names of the soft layers in the stack.
        engaged_mm: Least engagement of full thread, where known.
        need: Required engagement, where a tapped hole is known.
    """

    standard: ScrewStandard
    thread: Thread
    property_class: PropertyClass
    friction: Fraction | None = None
    utilisation: Fraction = DEFAULT_UTILISATION
    threads: ThreadState = "dry"
    soft: tuple[str, ...] = ()
    engaged_mm: Fraction | None = None
    need: Need | None = None
    material: Material | None = None


class Term(NamedTuple):
    """One part of a formula: symbol, what it is, value and unit."""

    symbol: str
    words: str
    value: Decimal
    unit: str


class Formula(NamedTuple):
    """A formula with its parts and its unrounded value."""

    formula: str
    source: str
    value: Decimal
    unit: str
    parts: tuple[Term, ...]


class Refusal(NamedTuple):
    """Why no torque is estimated."""

    code: RefusalCode
    detail: str


class TorqueAnswer(NamedTuple):
    """The estimate, rounded down to two figures, or why there is none.

    Attributes:
        torque_nm: None when refused.
        preload_kn: None when refused.
        nut_factor: K of T = K F d; None when refused.
        formulas: By name: preload, torque, nut_factor; empty when refused.
        notes: What the counter should know about the figure.
    """

    friction: Fraction
    friction_class: str
    utilisation: Fraction
    torque_nm: Decimal | None = None
    preload_kn: Decimal | None = None
    nut_factor: Decimal | None = None
    formulas: tuple[tuple[str, Formula], ...] = ()
    refused: tuple[Refusal, ...] = ()
    notes: tuple[str, ...] = ()


class Bearing(NamedTuple):
    """The annulus a head bears on, mm."""

    outer_mm: Fraction
    hole_mm: Fraction

    @property
    def mean_mm(self) -> Fraction:
        """Mean bearing diameter DKm, mm."""
        return (self.outer_mm + self.hole_mm) / 2


def estimate_torque(ask: TorqueAsk) -> TorqueAnswer:
    """Estimate torque and preload at the screw's limit, or say why not.

    Source:
        VDI 2230 (Kellermann-Klein), coefficients from memory.
    """
    friction = DEFAULT_FRICTION if ask.friction is None else ask.friction
    name, lowest = friction_class(friction)
    refused = tuple(_refusals(ask))
    if refused:
        return TorqueAnswer(friction, name, ask.utilisation, refused=refused)
    bearing = bearing_of(ask.standard, ask.thread)
    assert bearing is not None, "a missing bearing face is refused"
    with localcontext(_EXACT):
        preload = _preload(ask, friction)
        torque = _torque(ask.thread, bearing, friction, preload.value)
        factor = _nut_factor(ask.thread, bearing, friction)
        return TorqueAnswer(
            friction=friction,
            friction_class=name,
            utilisation=ask.utilisation,
            torque_nm=rounded_down(torque.value),
            preload_kn=rounded_down(preload.value),
            nut_factor=factor.value,
            formulas=(
                ("preload", preload),
                ("torque", torque),
                ("nut_factor", factor),
            ),
            notes=tuple(_notes(ask, bearing, torque.value, lowest=lowest, name=name)),
        )


def overstress(
    torque_nm: Fraction,
    standard: ScrewStandard,
    thread: Thread,
    property_class: PropertyClass,
) -> tuple[Finding, ...]:
    """Hold a stated torque against the proof load of its screw.

    A warning where it exceeds the proof load at the default friction; a note where
    it does so only at the lowest friction of that class. Exact.
    """
    bearing = bearing_of(standard, thread)
    if bearing is None:
        return ()
    proof = proof_load_n(thread, property_class)
    name, lowest = friction_class(DEFAULT_FRICTION)
    levels: tuple[tuple[Fraction, Literal["warning", "note"]], ...]
    levels = (DEFAULT_FRICTION, "warning"), (lowest, "note")
    for friction, severity in levels:
        preload = preload_at(torque_nm, thread, bearing, friction)
        if preload > proof:
            detail = (
                f"{figure(torque_nm)} N.m on {thread.short} {property_class.code} is "
                f"about {figure(preload / 1000, 1)} kN at friction "
                f"{figure(friction)} (class {name}), above the proof load of "
                f"{figure(proof / 1000, 1)} kN."
            )
            return (Finding("screw_overstressed", severity, detail),)
    return ()


def preload_at(
    torque_nm: Fraction, thread: Thread, bearing: Bearing, friction: Fraction
) -> Fraction:
    """Preload that a torque gives at a friction, N, exact."""
    return torque_nm * 1000 / _lever(thread, bearing, friction)


def proof_load_n(thread: Thread, property_class: PropertyClass) -> Fraction:
    """Proof load: nominal stress area times proof stress, N."""
    return thread.stress_area_mm2 * property_class.strength(thread).proof_mpa


def bearing_of(standard: ScrewStandard, thread: Thread) -> Bearing | None:
    """Bearing face of a head over a medium clearance hole; None: not tabulated."""
    size = standard.size(thread.short)
    hole = clearance_mm(thread)
    return None if size is None or hole is None else Bearing(size.bearing_mm, hole)


@lru_cache(maxsize=64)
def clearance_mm(thread: Thread) -> Fraction | None:
    """Medium clearance hole of a thread's diameter, mm."""
    for standard in of_kind(ClearanceStandard):
        for row in standard.rows:
            if row[0] == thread.shank:
                return length(row[2], standard.unit)
    return None


def friction_class(friction: Fraction) -> tuple[str, Fraction]:
    """The VDI 2230 class whose middle is nearest, and its lowest friction."""
    name, lowest, _ = min(
        FRICTION_CLASSES, key=lambda row: abs((row[1] + row[2]) / 2 - friction)
    )
    return name, lowest


def rounded_down(value: Decimal) -> Decimal:
    """Round a positive figure down to two figures: 48.5 is 48, 592 is 590."""
    step = Decimal(1).scaleb(value.adjusted() + 1 - _FIGURES)
    whole = (value / step).to_integral_value(rounding=ROUND_DOWN)
    return whole * step


def _refusals(ask: TorqueAsk) -> Iterator[Refusal]:
    if ask.soft:
        yield Refusal(
            "soft_layer",
            f"No torque is estimated over a soft layer ({', '.join(ask.soft)}): the "
            "gasket sets the torque, so it comes from the maker's manual.",
        )
    if ask.threads in PREPARED and ask.friction is None:
        yield Refusal(
            "thread_state",
            f"The thread carries {_STATE_WORDS[ask.threads]}: state its friction, or "
            "take the maker's torque.",
        )
    if ask.engaged_mm is not None and ask.need is not None:
        yield from _engagement_refusal(ask, ask.engaged_mm, ask.need)
    if bearing_of(ask.standard, ask.thread) is None:
        yield Refusal(
            "no_bearing_face",
            f"{ask.standard.code} has no head for {ask.thread.short}, so there is no "
            "bearing face to compute with.",
        )


_STATE_WORDS = {
    "sealant": "a sealant",
    "locking": "a locking compound",
    "patch": "a locking patch",
}


def _engagement_refusal(
    ask: TorqueAsk, engaged_mm: Fraction, need: Need
) -> Iterator[Refusal]:
    if engaged_mm >= need.mm:
        return
    where = f" in {MATERIALS[ask.material].words}" if ask.material else ""
    yield Refusal(
        "engagement_short",
        f"{figure(engaged_mm)} mm of thread engaged{where}, {figure(need.mm)} mm "
        "needed: the thread may strip before the screw is tight.",
    )


def _lever(thread: Thread, bearing: Bearing, friction: Fraction) -> Fraction:
    """Torque over preload, mm."""
    return (
        PITCH_TERM * thread.pitch_mm
        + THREAD_TERM * thread.pitch_diameter_mm * friction
        + bearing.mean_mm / 2 * friction
    )


def _preload(ask: TorqueAsk, friction: Fraction) -> Formula:
    thread = ask.thread
    d2, ds = _dec(thread.pitch_diameter_mm), _dec(thread.stress_diameter_mm)
    area = _PI / 4 * ds * ds
    limit = _dec(ask.property_class.strength(thread).yield_mpa)
    pitch, share = _dec(thread.pitch_mm), _dec(ask.utilisation)
    inner = pitch / (_PI * d2) + FLANK_TERM * _dec(friction)
    twist = Decimal("1.5") * (d2 / ds) * inner
    value = share * limit * area / (1 + 3 * twist * twist).sqrt()
    return Formula(
        formula="FM = nu Rp0.2 As / sqrt(1 + 3 [1.5 (d2/ds) (P/(pi d2) + 1.155 mu)]^2)",
        source="VDI 2230, from memory",
        value=value / 1000,
        unit="kN",
        parts=(
            Term("nu", "utilisation of the yield strength", share, ""),
            Term("Rp0.2", "yield strength", limit, "MPa"),
            Term("As", "stress area", area, "mm2"),
            Term("d2", "pitch diameter", d2, "mm"),
            Term("ds", "stress diameter", ds, "mm"),
            Term("P", "pitch", pitch, "mm"),
            Term("mu", "friction", _dec(friction), ""),
        ),
    )


def _torque(
    thread: Thread, bearing: Bearing, friction: Fraction, preload_kn: Decimal
) -> Formula:
    pitch = _dec(PITCH_TERM * thread.pitch_mm)
    flank = _dec(THREAD_TERM * thread.pitch_diameter_mm * friction)
    head = _dec(bearing.mean_mm / 2 * friction)
    return Formula(
        formula="MA = FM [0.16 P + 0.58 d2 mu + (DKm/2) mu]",
        source="VDI 2230 (Kellermann-Klein), from memory",
        value=preload_kn * (pitch + flank + head),
        unit="N.m",
        parts=(
            Term("FM", "preload", preload_kn, "kN"),
            Term("DKm", "mean bearing diameter", _dec(bearing.mean_mm), "mm"),
            Term("dw", "bearing face", _dec(bearing.outer_mm), "mm"),
            Term("dh", "medium clearance hole", _dec(bearing.hole_mm), "mm"),
            Term("FM 0.16 P", "lifts the load", preload_kn * pitch, "N.m"),
            Term("FM 0.58 d2 mu", "thread friction", preload_kn * flank, "N.m"),
            Term("FM (DKm/2) mu", "head friction", preload_kn * head, "N.m"),
        ),
    )


def _nut_factor(thread: Thread, bearing: Bearing, friction: Fraction) -> Formula:
    d = thread.d_mm
    pitch = PITCH_TERM * thread.pitch_mm / d
    flank = THREAD_TERM * friction * thread.pitch_diameter_mm / d
    head = friction * bearing.mean_mm / (2 * d)
    return Formula(
        formula="T = K F d, K = 0.16 P/d + 0.58 mu d2/d + mu DKm/(2 d)",
        source="nut factor form of VDI 2230, from memory",
        value=_dec(pitch + flank + head),
        unit="",
        parts=(
            Term("d", "nominal diameter", _dec(d), "mm"),
            Term("0.16 P/d", "lifts the load", _dec(pitch), ""),
            Term("0.58 mu d2/d", "thread friction", _dec(flank), ""),
            Term("mu DKm/(2 d)", "head friction", _dec(head), ""),
        ),
    )


def _notes(
    ask: TorqueAsk,
    bearing: Bearing,
    torque_nm: Decimal,
    *,
    lowest: Fraction,
    name: str,
) -> Iterator[str]:
    if ask.friction is None:
        yield (
            f"Friction {figure(DEFAULT_FRICTION)} is assumed: threads and head "
            "lightly oiled."
        )
    proof = proof_load_n(ask.thread, ask.property_class)
    given = Fraction(rounded_down(torque_nm))
    slippery = preload_at(given, ask.thread, bearing, lowest)
    word = "above" if slippery > proof else "within"
    yield (
        f"At the lowest friction of class {name} ({figure(lowest)}) the same torque "
        f"gives about {figure(slippery / 1000, 1)} kN, {word} the proof load of "
        f"{figure(proof / 1000, 1)} kN."
    )


def _dec(value: Fraction) -> Decimal:
    return Decimal(value.numerator) / Decimal(value.denominator)

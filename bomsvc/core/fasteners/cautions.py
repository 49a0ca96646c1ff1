"""The cautions that stand beside every length and every torque.

They are the trade's usual ones: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

CautionCode = Literal[
    "maker_prevails",
    "never_mix",
    "single_use",
    "clean_dry_blind_hole",
    "sealant_on_thread",
    "estimate_only",
    "local_practice",
]

TEXTS: dict[str, str] = {
    "maker_prevails": (
        "The engine maker's current manual prevails over every length and torque "
        "shown here."
    ),
    "never_mix": (
        "Never mix lengths or property classes: put each screw back in its own hole."
    ),
    "single_use": "Fasteners marked for single use are not used again.",
    "clean_dry_blind_hole": (
        "Blind holes must be clean and dry: oil, coolant or chips at the bottom can "
        "crack the casting or falsify the torque."
    ),
    "sealant_on_thread": (
        "This hole breaks into a space with fluid: seal the thread as the maker's "
        "manual says."
    ),
    "estimate_only": (
        "An estimated torque is for the stated friction and for the screw's own "
        "limit; it is not the maker's torque and not the joint's."
    ),
    "local_practice": "Local codes and licensed practice prevail.",
}

ON_LENGTHS = ("maker_prevails", "never_mix", "single_use")
ON_TORQUES = ("maker_prevails", "estimate_only", "single_use", "local_practice")


def length_cautions(*, form: str, breaks_into: str) -> tuple[str, ...]:
    """The cautions that go with a length, by code, in the order they are shown."""
    more = []
    if form == "blind":
        more.append("clean_dry_blind_hole")
    if breaks_into != "none":
        more.append("sealant_on_thread")
    return (*ON_LENGTHS, *more, "local_practice")


def caution_texts(codes: Iterable[str]) -> tuple[str, ...]:
    """The sentences of caution codes, each once, in the order given."""
    return tuple(TEXTS[code] for code in dict.fromkeys(codes))


def sealant_text(joint: str, holes: Iterable[int]) -> str:
    """The sealant caution with the holes of the joint that it is about."""
    numbers = [str(hole) for hole in sorted(holes)]
    which = f"{', '.join(numbers[:-1])} and {numbers[-1]}" if numbers[1:] else ""
    if which:
        return (
            f"{joint}: holes {which} break into a space with fluid: seal their "
            "threads as the maker's manual says."
        )
    return (
        f"{joint}: hole {''.join(numbers)} breaks into a space with fluid: seal its "
        "thread as the maker's manual says."
    )

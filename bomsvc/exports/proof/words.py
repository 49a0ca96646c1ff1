"""What each kind of finding is called, and what it means for whoever mends it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

SEVERITIES: Final[Mapping[str, str]] = {
    "fault": "Has to be mended: the revision is not published with it.",
    "warning": "Mend it, or publish with a reason for accepting it.",
    "note": "For you to know; nothing has to be done.",
}
"""Severity -> what it means, gravest first."""

KINDS: Final[Mapping[str, tuple[str, str]]] = {
    "no_valid_build": (
        "No valid build",
        "The options and rules contradict each other: no engine can be built.",
    ),
    "dead_choice": ("Dead choice", "A choice that no valid build has."),
    "forced_choice": ("Forced choice", "A choice that every valid build has."),
    "idle_option": ("Idle option", "An option that changes nothing anywhere."),
    "option_unaskable": (
        "Cannot be asked",
        "A job's list depends on an option that is not asked, measured or read.",
    ),
    "condition_never": ("Never true", "A condition that is false by its form."),
    "condition_always": ("Always true", "A condition that is true by its form."),
    "rule_never_applies": (
        "Rule never applies",
        "No valid build meets what the rule starts from.",
    ),
    "rule_redundant": ("Rule not needed", "The rule follows from the others."),
    "position_gap": ("Gap", "A position that has to be filled and is not."),
    "position_overlap": ("Overlap", "A position that two fitments fill at once."),
    "position_empty": ("May be empty", "An optional position, empty in some builds."),
    "fitment_dead": ("Fitment never used", "A fitment that no valid build uses."),
    "part_unused": ("Part never used", "A part that stands in no fitment."),
    "pad_missing": (
        "Thickness missing",
        "A part between the screw's head and the thread has no such pad.",
    ),
    "hole_missing": ("Hole missing", "The part screwed into has no such hole."),
    "quantity_by_holes": (
        "Quantity and holes differ",
        "The quantity stated is not the number of holes.",
    ),
    "screw_unknown": ("Screw not known", "The standard or thread is not held here."),
    "screw_none_fits": ("No screw fits", "No length is right for the stack."),
    "screw_stated_fails": (
        "Stated screw fails",
        "The screw named for these holes does not fit the stack.",
    ),
    "screw_stated_overlap": (
        "Two stated screws",
        "Two screws are named for the same holes of one build.",
    ),
    "screw_not_listed": (
        "Screw not in catalogue",
        "A length fits, and the catalogue has no number for it.",
    ),
    "screw_thin_margin": ("Thin margin", "The screw fits with little to spare."),
    "screw_hard_to_start": (
        "Hard to start",
        "The screw reaches its thread late while it is fitted.",
    ),
    "screw_overstressed": (
        "Torque near the limit",
        "The stated torque may load the screw above its proof load.",
    ),
    "hole_unplaced": (
        "Hole not placed",
        "A hole without coordinates, or not in the tightening order.",
    ),
    "position_stuck": (
        "Cannot be freed",
        "A job renews a position that no order of steps frees.",
    ),
    "needs_cycle": ("Waiting on each other", "Steps that wait on one another."),
    "forgotten_gasket": (
        "Forgotten gasket",
        "A step frees a clamped part without the joint being opened.",
    ),
    "joint_never_opened": ("Never opened", "A joint that no step opens."),
    "job_idle": ("Job without renewal", "The job renews nothing in some build."),
    "not_proven": (
        "Not proven",
        "Not settled within the budget; counted as a fault until it is.",
    ),
}
"""Code -> what it is called on paper, and what it means."""


def kind(code: str) -> tuple[str, str]:
    """Return what a code is called and means; an unknown code in its own words."""
    return KINDS.get(code, (code.replace("_", " ").capitalize(), ""))

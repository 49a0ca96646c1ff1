"""Joints, their groups and tightening."""

from __future__ import annotations

from bomsvc.core.catalogue.forms.compound import ListOf, Pair
from bomsvc.core.catalogue.forms.figures import Truth
from bomsvc.core.catalogue.forms.records import Field, Record
from bomsvc.core.catalogue.forms.texts import PartNumber, Words
from bomsvc.core.catalogue.shape.common import (
    A_CODE,
    A_FIGURE,
    A_LINE,
    A_POSITION,
    ABOVE_NOUGHT,
    ANY_FIGURE,
    HOLE_NUMBER,
    POSITIONS,
    THREAD_STATES,
    each,
    like,
    list_of,
    needed,
    note,
    when,
)

HOLE_PLACE = Record(
    "hole place",
    "A hole of a joint, mm from its datum, seen from the head side",
    (
        needed("hole", HOLE_NUMBER, "Its number, once in a joint"),
        Field("x", ANY_FIGURE, "Along, mm", says_default="not placed"),
        Field("y", ANY_FIGURE, "Across, mm", says_default="not placed"),
    ),
)

LAYER = Record(
    "layer",
    "A clamped layer",
    (
        needed("position", A_POSITION, "Whose part it is"),
        needed("pad", A_CODE, "Which pad of that part"),
        Field("per", Words(("joint", "hole")), "One for all, or each", default="joint"),
        Field("count", Words(("1", "qty")), "Pads, or the fitment's qty", default="1"),
    ),
)

INTO = Record(
    "into",
    "What the thread goes into",
    (
        Field("position", A_POSITION, "Whose part is tapped", says_default="none"),
        Field("hole", A_CODE, "Which hole of that part", says_default="none"),
        Field("nut", A_POSITION, "Where the nut sits", says_default="no nut"),
    ),
)

STUD_USE = Record(
    "stud use",
    "A stud instead of a screw",
    (
        needed("position", A_POSITION, "Where the stud sits"),
        Field("stays", Truth(), "It is left in when the joint opens", default=False),
    ),
)

SCREW_WANTED = Record(
    "screw wanted",
    "What screw is computed",
    (
        needed("standard", ListOf(A_LINE, least=1), "In order of preference"),
        needed("thread", A_LINE, "Such as M10"),
        needed("property_class", A_LINE, "Such as 10.9"),
        Field("finish", A_LINE, "Coating", says_default="any"),
    ),
)

STATED = Record(
    "stated screw",
    "A screw that the maker states",
    (
        needed("part", PartNumber(), "The screw"),
        when("when", "Where it is stated"),
    ),
)

GROUP = Record(
    "group",
    "Holes that share stack, seat and thread",
    (
        needed("code", A_CODE, "Its code"),
        Field("label", A_LINE, "Its name for people", says_default="its code"),
        when("exists", "In which builds it exists, given that the joint does"),
        needed("holes", ListOf(HOLE_PLACE, least=1), "Its holes"),
        list_of("layers", ListOf(LAYER), "From the head to the thread"),
        Field("into", INTO, "What the thread goes into", says_default="the joint's"),
        Field("stud", STUD_USE, "A stud instead of a screw", says_default="none"),
        Field("screw", SCREW_WANTED, "What is computed", says_default="the joint's"),
        list_of("stated", ListOf(STATED), "What the maker states"),
        Field(
            "engagement_mm", ABOVE_NOUGHT, "Engagement needed", says_default="computed"
        ),
        Field(
            "protrusion_mm", A_FIGURE, "Most beyond the far face", says_default="free"
        ),
        Field(
            "threads",
            Words(THREAD_STATES),
            "Their condition",
            says_default="the joint's",
        ),
    ),
)

PASS = Record(
    "pass",
    "One tightening pass; exactly one figure",
    (
        list_of("groups", ListOf(A_CODE), "Which groups; all where none is named"),
        list_of("order", ListOf(HOLE_NUMBER), "Holes in order"),
        Field("torque_nm", ABOVE_NOUGHT, "To this torque", says_default="one figure"),
        Field(
            "angle_deg",
            ABOVE_NOUGHT,
            "Further by this angle",
            says_default="one figure",
        ),
        Field(
            "loosen_deg", ABOVE_NOUGHT, "Back by this angle", says_default="one figure"
        ),
        Field(
            "stretch_mm",
            ABOVE_NOUGHT,
            "Until stretched by this",
            says_default="one figure",
        ),
    ),
)

TIGHTEN = Record(
    "tightening",
    "How the maker tightens the joint",
    (
        list_of("passes", ListOf(PASS), "Passes in order"),
        list_of("loosen_order", ListOf(HOLE_NUMBER), "Holes in order of loosening"),
        note(),
    ),
)

CIRCLE = Record(
    "circle",
    "A circle of the drawing, mm",
    (
        needed("x", ANY_FIGURE, "Centre, along"),
        needed("y", ANY_FIGURE, "Centre, across"),
        needed("d", ABOVE_NOUGHT, "Diameter"),
    ),
)

DRAWING = Record(
    "drawing",
    "Outline for the screw map, in the coordinates of the holes",
    (
        list_of("outline", ListOf(Pair(ANY_FIGURE, ("x", "y"))), "Points, closed"),
        list_of("circles", ListOf(CIRCLE), "Circles"),
    ),
)

JOINT = Record(
    "joint",
    "Holes, clamped layers, screws, tightening",
    (
        needed("code", A_CODE, "Its code"),
        like("joint"),
        needed("label", A_LINE, "Its name for people"),
        each(),
        when("exists", "In which builds it exists"),
        list_of("seals", POSITIONS, "Renewed whenever the joint is opened"),
        Field("screw", SCREW_WANTED, "Of groups that name none", says_default="none"),
        Field("into", INTO, "Of groups that name none", says_default="none"),
        Field(
            "threads", Words(THREAD_STATES), "Of groups that name none", default="dry"
        ),
        list_of("groups", ListOf(GROUP), "Groups of holes"),
        Field("tighten", TIGHTEN, "As the maker states", says_default="not stated"),
        Field("drawing", DRAWING, "For the screw map", says_default="none"),
    ),
)

"""What several records of the shape have in common."""

from __future__ import annotations

from decimal import Decimal

from bomsvc.core.catalogue.forms.base import Form
from bomsvc.core.catalogue.forms.compound import ListOf
from bomsvc.core.catalogue.forms.figures import Figure, Whole
from bomsvc.core.catalogue.forms.records import Field
from bomsvc.core.catalogue.forms.texts import Code, Named, Text

FORMAT = 1
NOUGHT = Decimal(0)
KINDS = (
    "component", "gasket", "seal", "screw", "nut", "washer", "stud", "shim",
    "fluid", "sealant", "filter", "hose", "clamp", "tool",
)  # fmt: skip
# UN/ECE Recommendation 20: one, litre, metre, kilogram, pair, set (the design's list).
UNITS = ("C62", "LTR", "MTR", "KGM", "PR", "SET")
MATERIALS = ("steel", "grey_iron", "ductile_iron", "aluminium")
THREAD_STATES = ("dry", "oiled", "sealant", "locking", "patch")

A_CODE = Code()
A_LINE = Text()
A_TEXT = Text(lines=True)
A_FIGURE = Figure()
ABOVE_NOUGHT = Figure("above")
ANY_FIGURE = Figure("any")
HOLE_NUMBER = Whole(1, 9_999)
A_POSITION = Named("position, such as pan or main_upper[4]")
A_JOINT = Named("joint")
A_STEP = Named("step")
POSITIONS, JOINTS, STEPS = ListOf(A_POSITION), ListOf(A_JOINT), ListOf(A_STEP)


def needed(name: str, form: Form, doc: str) -> Field:
    """A field that must be there."""
    return Field(name, form, doc, required=True)


def each() -> Field:
    """The field `each`."""
    return Field(
        "each",
        Named("series"),
        "Stands once per member of this series",
        says_default="stands once",
    )


def when(name: str, doc: str) -> Field:
    """A field that holds a condition; absent, it always holds."""
    return Field(name, Named("condition"), doc, default="always")


def like(what: str) -> Field:
    """The field `like`; `what` names an item of the same list."""
    return Field(
        "like",
        Named(what),
        "Takes over every field of that item which is not written here; "
        "null takes a field away",
        says_default="nothing is taken over",
    )


def list_of(name: str, form: ListOf, doc: str) -> Field:
    """A field that holds a list, empty where it is absent."""
    return Field(name, form, doc, default=())


def note() -> Field:
    """The field `note`."""
    return Field("note", A_TEXT, "For people", says_default="none")


def tolerance(prefix: str, what: str) -> tuple[Field, ...]:
    """The fields `tol`, `plus` and `minus` of one size, named with a prefix."""
    return (
        Field(
            f"{prefix}tol",
            A_FIGURE,
            f"Tolerance of {what}, mm, both ways",
            default=NOUGHT,
        ),
        Field(
            f"{prefix}plus",
            A_FIGURE,
            f"Tolerance of {what} upwards, mm, instead of {prefix}tol",
            says_default=f"`{prefix}tol`, or 0 where the other is given",
        ),
        Field(
            f"{prefix}minus",
            A_FIGURE,
            f"Tolerance of {what} downwards, mm, instead of {prefix}tol",
            says_default=f"`{prefix}tol`, or 0 where the other is given",
        ),
    )

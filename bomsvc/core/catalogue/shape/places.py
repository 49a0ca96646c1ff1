"""Sections, positions, fitments."""

from __future__ import annotations

from decimal import Decimal

from bomsvc.core.catalogue.forms.figures import Quantity, Whole
from bomsvc.core.catalogue.forms.records import Field, Record
from bomsvc.core.catalogue.forms.texts import Named, PartNumber, Words
from bomsvc.core.catalogue.shape.common import (
    A_CODE,
    A_LINE,
    A_POSITION,
    each,
    needed,
    note,
    when,
)

SECTION = Record(
    "section",
    "Where on the engine, for browsing",
    (
        needed("code", A_CODE, "Its code"),
        needed("label", A_LINE, "Its name for people"),
        Field("under", Named("section"), "The section above", says_default="top level"),
    ),
)

POSITION = Record(
    "position",
    "A slot that holds parts",
    (
        needed("code", A_CODE, "Its code; steps and positions share one namespace"),
        needed("label", A_LINE, "Its name for people"),
        needed("section", Named("section"), "Where on the engine"),
        each(),
        when("exists", "In which builds it exists"),
        Field(
            "fill",
            Words(("one", "optional", "several")),
            "How many fitments of rank 1 apply",
            default="one",
        ),
        note(),
    ),
)

FITMENT = Record(
    "fitment",
    "Which part sits in which position, when",
    (
        needed("position", A_POSITION, "The position"),
        needed("part", PartNumber(), "The part"),
        Field("qty", Quantity(), "How many", default=Decimal(1)),
        when("when", "Where it applies, given that the position exists"),
        Field("rank", Whole(1, 99), "Higher ranks are alternates", default=1),
        note(),
    ),
)

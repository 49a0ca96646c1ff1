"""Steps and jobs."""

from __future__ import annotations

from decimal import Decimal

from bomsvc.core.catalogue.forms.compound import ListOf
from bomsvc.core.catalogue.forms.figures import Quantity
from bomsvc.core.catalogue.forms.records import Field, Record
from bomsvc.core.catalogue.forms.texts import Named, PartNumber
from bomsvc.core.catalogue.shape.common import (
    A_CODE,
    A_FIGURE,
    A_LINE,
    A_TEXT,
    JOINTS,
    NOUGHT,
    POSITIONS,
    STEPS,
    each,
    like,
    list_of,
    needed,
    note,
    when,
)

USE = Record(
    "use",
    "What a step uses up",
    (
        needed("part", PartNumber(), "The part"),
        Field("qty", Quantity(), "How much", default=Decimal(1)),
        when("when", "Where it is used, given that the step exists"),
    ),
)

STEP = Record(
    "step",
    "Strip-down or refit work",
    (
        needed("code", A_CODE, "Its code; steps and positions share one namespace"),
        like("step"),
        needed("label", A_LINE, "Its name for people"),
        each(),
        when("exists", "In which builds it exists"),
        list_of("frees", POSITIONS, "What comes out"),
        list_of("opens", JOINTS, "Joints it opens"),
        list_of(
            "loosens",
            ListOf(Named("group, such as pan_rail.a")),
            "Screws out, seals stay",
        ),
        list_of("needs", ListOf(Named("position or step")), "Off or done first"),
        list_of("then", STEPS, "Also owed when this is done"),
        list_of("after", STEPS, "Refit comes after these"),
        Field("minutes_off", A_FIGURE, "Of strip-down", default=NOUGHT),
        Field("minutes_on", A_FIGURE, "Of refit", default=NOUGHT),
        list_of("uses", ListOf(USE), "What it uses up"),
        Field(
            "lift_kg", A_FIGURE, "What is lifted", says_default="what leaves with it"
        ),
        list_of("tools", ListOf(A_TEXT), "Tools"),
        list_of("cautions", ListOf(A_TEXT), "Cautions"),
    ),
)

JOB = Record(
    "job",
    "What a clerk picks from the menu",
    (
        needed("code", A_CODE, "Its code"),
        needed("label", A_LINE, "Its name for people"),
        each(),
        when("exists", "In which builds it exists"),
        list_of("renew", POSITIONS, "Positions to renew"),
        list_of("reseal", JOINTS, "Joints to reseal"),
        list_of("do", STEPS, "Steps to do"),
        list_of("check", POSITIONS, "Positions to look at"),
        note(),
    ),
)

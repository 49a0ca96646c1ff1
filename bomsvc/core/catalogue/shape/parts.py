"""Parts and their engineering data."""

from __future__ import annotations

from decimal import Decimal

from bomsvc.core.catalogue.forms.compound import ListOf, MapOf
from bomsvc.core.catalogue.forms.figures import Quantity, Truth, Whole
from bomsvc.core.catalogue.forms.records import Field, Record, WordsOr
from bomsvc.core.catalogue.forms.texts import PartNumber, Words
from bomsvc.core.catalogue.shape.common import (
    A_CODE,
    A_FIGURE,
    A_LINE,
    A_TEXT,
    ABOVE_NOUGHT,
    KINDS,
    MATERIALS,
    NOUGHT,
    POSITIONS,
    UNITS,
    like,
    list_of,
    needed,
    tolerance,
)

CONTENT = Record(
    "content",
    "A part of what is sold together",
    (
        needed("part", PartNumber(), "The part"),
        Field("qty", Quantity(), "How many", default=Decimal(1)),
    ),
)

SOLD_AS = Record(
    "sold as",
    "What is ordered instead",
    (
        needed("number", PartNumber(), "The part that is ordered"),
        needed("contents", ListOf(CONTENT, least=1), "What it holds"),
    ),
)

REUSE = Record(
    "reuse limit",
    "Until when a fastener is used again; at least one field",
    (
        Field(
            "max_length_mm", ABOVE_NOUGHT, "Longest length allowed", says_default="none"
        ),
        Field("max_uses", Whole(1, 999), "Most uses", says_default="none"),
        Field("inspect", A_TEXT, "What to look for", says_default="none"),
    ),
)

PAD = Record(
    "pad",
    "What a part adds to a clamped stack at the screw's seat",
    (
        needed("mm", A_FIGURE, "Thickness; of a gasket, when set"),
        *tolerance("", "the thickness"),
        Field("soft", Truth(), "Gives under load", default=False),
        Field("free_mm", A_FIGURE, "Thickness before clamping", says_default="as mm"),
    ),
)

HOLE = Record(
    "hole",
    "A tapped hole in a part",
    (
        needed("thread", A_LINE, "Such as M10x1.5"),
        needed("form", Words(("blind", "through")), "Blind or through"),
        Field(
            "threaded_mm",
            ABOVE_NOUGHT,
            "Threaded depth from the mating face, a minimum",
            says_default="drilled_mm less the run-out",
        ),
        Field("drilled_mm", ABOVE_NOUGHT, "Drilled depth", says_default="not known"),
        Field("entry_mm", A_FIGURE, "Countersink or counterbore", default=NOUGHT),
        *tolerance("entry_", "the entry"),
        Field(
            "thickness_mm",
            ABOVE_NOUGHT,
            "Of the part, where through",
            says_default="none",
        ),
        *tolerance("thickness_", "the part's thickness"),
        Field("exit_mm", A_FIGURE, "Countersink at the far face", default=NOUGHT),
        needed("material", Words(MATERIALS), "Of the part"),
        Field(
            "strength_mpa",
            ABOVE_NOUGHT,
            "Tensile strength",
            says_default="the material's usual",
        ),
        Field(
            "breaks_into",
            Words(("none", "coolant", "oil", "fuel")),
            "What lies behind",
            default="none",
        ),
    ),
)

SCREW = Record(
    "screw",
    "What makes a part a screw",
    (
        needed("standard", A_LINE, "Such as ISO 4762"),
        needed("thread", A_LINE, "Such as M10"),
        needed("length_mm", ABOVE_NOUGHT, "Nominal length"),
        needed("property_class", A_LINE, "Such as 10.9"),
        Field("finish", A_LINE, "Coating", says_default="not stated"),
        Field(
            "fully_threaded",
            Truth(),
            "Threaded to the head",
            says_default="as the standard",
        ),
        Field(
            "thread_mm", ABOVE_NOUGHT, "Thread length", says_default="as the standard"
        ),
        Field("preferred", Truth(), "Taken first among equals", default=False),
    ),
)

NUT = Record(
    "nut",
    "What makes a part a nut",
    (
        needed("standard", A_LINE, "Such as ISO 4032"),
        needed("thread", A_LINE, "Such as M10"),
        Field("height_mm", ABOVE_NOUGHT, "Height", says_default="as the standard"),
        *tolerance("", "the height"),
    ),
)

STUD = Record(
    "stud",
    "What makes a part a stud",
    (
        needed("hole_thread", A_LINE, "Thread of the set end"),
        needed("nut_thread", A_LINE, "Thread of the nut end"),
        needed("property_class", A_LINE, "Such as 8.8"),
        needed("length_mm", ABOVE_NOUGHT, "Overall length"),
        *tolerance("", "the length"),
        Field("set_mm", A_FIGURE, "Length of the set end in the hole", default=NOUGHT),
        *tolerance("set_", "the set end"),
    ),
)

PART = Record(
    "part",
    "Engineering data of a part",
    (
        needed("number", PartNumber(), "Its number"),
        like("part number"),
        needed("name", A_LINE, "Its name"),
        Field("kind", Words(KINDS), "What it is", default="component"),
        Field("unit", Words(UNITS), "UN/ECE Recommendation 20 unit", default="C62"),
        Field("mass_kg", A_FIGURE, "Mass of one unit", says_default="not known"),
        Field(
            "reuse",
            WordsOr(("freely", "single"), REUSE),
            "Whether it is fitted again",
            default="freely",
        ),
        Field("sold_as", SOLD_AS, "Not sold alone", says_default="sold alone"),
        Field("not_sold", A_TEXT, "Why it is not to be had", says_default="to be had"),
        list_of("includes", POSITIONS, "It brings what sits in these positions"),
        list_of("renew_with", POSITIONS, "Renewed whenever this part is"),
        Field("keep_matched", A_TEXT, "What stays together", says_default="none"),
        Field("hand", A_TEXT, "Left, right, this way up", says_default="none"),
        list_of("cautions", ListOf(A_TEXT), "Cautions"),
        Field("pads", MapOf(A_CODE, PAD), "What it adds to clamped stacks", default={}),
        Field("holes", MapOf(A_CODE, HOLE), "Its tapped holes", default={}),
        Field("screw", SCREW, "It is a screw", says_default="it is none"),
        Field("nut", NUT, "It is a nut", says_default="it is none"),
        Field("stud", STUD, "It is a stud", says_default="it is none"),
    ),
)

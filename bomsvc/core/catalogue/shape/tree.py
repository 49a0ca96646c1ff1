"""The family, the options and the rules."""

from __future__ import annotations

from bomsvc.core.catalogue.forms.compound import ListOf, MapOf, OneOrList, Pair
from bomsvc.core.catalogue.forms.figures import Whole
from bomsvc.core.catalogue.forms.records import Field, Record
from bomsvc.core.catalogue.forms.texts import Code, Named, Text, Words
from bomsvc.core.catalogue.limits import MAX_MEMBERS
from bomsvc.core.catalogue.shape.common import (
    A_CODE,
    A_LINE,
    A_TEXT,
    ANY_FIGURE,
    each,
    like,
    needed,
    note,
    when,
)

SERIAL = Record(
    "serial",
    "How serials are typed",
    (
        Field(
            "prefixes",
            MapOf(Text(), Named("choice, such as plant.north")),
            "Prefix to the choice that a serial typed with it answers",
            default={},
        ),
    ),
)

FAMILY = Record(
    "family",
    "A family of engines",
    (
        needed("code", A_CODE, "Its code"),
        needed("name", A_LINE, "Its name"),
        Field("maker", A_LINE, "Who makes the engines", says_default="not named"),
        note(),
        Field(
            "series",
            MapOf(Code(of_series=True), Whole(1, MAX_MEMBERS)),
            "Things there are several of, and how many",
            default={},
        ),
        Field("serial", SERIAL, "How serials are typed", says_default="no prefixes"),
    ),
)

CHOICE = Record(
    "choice",
    "One choice of an option",
    (
        needed("code", A_CODE, "Its code"),
        needed("label", A_LINE, "Its name for people"),
        Field("tell", A_TEXT, "How to recognise it on the engine", says_default="none"),
        Field(
            "band_mm",
            Pair(ANY_FIGURE, ("from", "to")),
            "The measure that means this choice; only where known is measured",
            says_default="none",
        ),
    ),
)

OPTION = Record(
    "option",
    "A node of the option tree",
    (
        needed("code", A_CODE, "Its code"),
        like("option"),
        needed("label", A_LINE, "Its name for people"),
        Field("choose", Words(("one", "any")), "How many choices hold", default="one"),
        Field(
            "under",
            Named("choice, such as drive.marine"),
            "Active only where this choice holds",
            says_default="always active",
        ),
        each(),
        Field(
            "known",
            Words(("build", "measured")),
            "From the build, or only after strip-down",
            default="build",
        ),
        Field(
            "ask", A_TEXT, "The question to a person", says_default="cannot be asked"
        ),
        needed("choices", ListOf(CHOICE), "Its choices, in order"),
        Field(
            "usual",
            OneOrList(A_CODE),
            "What is usual: a choice, or a list where any may be chosen",
            says_default="the first choice; where any may be chosen, none",
        ),
    ),
)

RULE = Record(
    "rule",
    "What goes with what",
    (
        needed("code", A_CODE, "Its code"),
        each(),
        when("when", "Where the rule applies"),
        needed("then", Named("condition"), "What then holds"),
        needed("because", A_TEXT, "Why, for people"),
        Field(
            "strength",
            Words(("factory", "physical")),
            "A factory rule may be waived for one modified engine",
            default="factory",
        ),
    ),
)

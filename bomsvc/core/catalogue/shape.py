"""The document's shape: one table of every record, field, form and default.

Reading, the canonical form, the JSON Schema and the table of defaults in
DEVELOPERS.md are all made from it. It is fixed by `format: 1`: the digest of every
published revision depends on it, so a default here never changes.
"""

from __future__ import annotations

from decimal import Decimal

from bomsvc.core.catalogue.compound import (
    Field,
    ListOf,
    MapOf,
    OneOrList,
    Pair,
    Record,
    WordsOr,
)
from bomsvc.core.catalogue.forms import (
    Code,
    Figure,
    Form,
    Named,
    PartNumber,
    Quantity,
    Text,
    Truth,
    Whole,
    Words,
)
from bomsvc.core.catalogue.limits import MAX_MEMBERS

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

_CODE = Code()
_LINE = Text()
_TEXT = Text(lines=True)
_FIGURE = Figure()
_ABOVE = Figure("above")
_ANY_FIGURE = Figure("any")
_HOLE_NUMBER = Whole(1, 9_999)
_POSITION = Named("position, such as pan or main_upper[4]")
_JOINT = Named("joint")
_STEP = Named("step")
_POSITIONS, _JOINTS, _STEPS = ListOf(_POSITION), ListOf(_JOINT), ListOf(_STEP)


def _needed(name: str, form: Form, doc: str) -> Field:
    return Field(name, form, doc, required=True)


def _each() -> Field:
    return Field(
        "each",
        Named("series"),
        "Stands once per member of this series",
        says_default="stands once",
    )


def _when(name: str, doc: str) -> Field:
    return Field(name, Named("condition"), doc, default="always")


def _like(what: str) -> Field:
    return Field(
        "like",
        Named(what),
        "Takes over every field of that item which is not written here; "
        "null takes a field away",
        says_default="nothing is taken over",
    )


def _list(name: str, form: ListOf, doc: str) -> Field:
    return Field(name, form, doc, default=())


def _note() -> Field:
    return Field("note", _TEXT, "For people", says_default="none")


def _tolerance(prefix: str, what: str) -> tuple[Field, ...]:
    return (
        Field(
            f"{prefix}tol",
            _FIGURE,
            f"Tolerance of {what}, mm, both ways",
            default=NOUGHT,
        ),
        Field(
            f"{prefix}plus",
            _FIGURE,
            f"Tolerance of {what} upwards, mm, instead of {prefix}tol",
            says_default=f"`{prefix}tol`, or 0 where the other is given",
        ),
        Field(
            f"{prefix}minus",
            _FIGURE,
            f"Tolerance of {what} downwards, mm, instead of {prefix}tol",
            says_default=f"`{prefix}tol`, or 0 where the other is given",
        ),
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
        _needed("code", _CODE, "Its code"),
        _needed("name", _LINE, "Its name"),
        Field("maker", _LINE, "Who makes the engines", says_default="not named"),
        _note(),
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
        _needed("code", _CODE, "Its code"),
        _needed("label", _LINE, "Its name for people"),
        Field("tell", _TEXT, "How to recognise it on the engine", says_default="none"),
        Field(
            "band_mm",
            Pair(_ANY_FIGURE, ("from", "to")),
            "The measure that means this choice; only where known is measured",
            says_default="none",
        ),
    ),
)

OPTION = Record(
    "option",
    "A node of the option tree",
    (
        _needed("code", _CODE, "Its code"),
        _like("option"),
        _needed("label", _LINE, "Its name for people"),
        Field("choose", Words(("one", "any")), "How many choices hold", default="one"),
        Field(
            "under",
            Named("choice, such as drive.marine"),
            "Active only where this choice holds",
            says_default="always active",
        ),
        _each(),
        Field(
            "known",
            Words(("build", "measured")),
            "From the build, or only after strip-down",
            default="build",
        ),
        Field("ask", _TEXT, "The question to a person", says_default="cannot be asked"),
        _needed("choices", ListOf(CHOICE), "Its choices, in order"),
        Field(
            "usual",
            OneOrList(_CODE),
            "What is usual: a choice, or a list where any may be chosen",
            says_default="the first choice; where any may be chosen, none",
        ),
    ),
)

RULE = Record(
    "rule",
    "What goes with what",
    (
        _needed("code", _CODE, "Its code"),
        _each(),
        _when("when", "Where the rule applies"),
        _needed("then", Named("condition"), "What then holds"),
        _needed("because", _TEXT, "Why, for people"),
        Field(
            "strength",
            Words(("factory", "physical")),
            "A factory rule may be waived for one modified engine",
            default="factory",
        ),
    ),
)

SECTION = Record(
    "section",
    "Where on the engine, for browsing",
    (
        _needed("code", _CODE, "Its code"),
        _needed("label", _LINE, "Its name for people"),
        Field("under", Named("section"), "The section above", says_default="top level"),
    ),
)

POSITION = Record(
    "position",
    "A slot that holds parts",
    (
        _needed("code", _CODE, "Its code; steps and positions share one namespace"),
        _needed("label", _LINE, "Its name for people"),
        _needed("section", Named("section"), "Where on the engine"),
        _each(),
        _when("exists", "In which builds it exists"),
        Field(
            "fill",
            Words(("one", "optional", "several")),
            "How many fitments of rank 1 apply",
            default="one",
        ),
        _note(),
    ),
)

FITMENT = Record(
    "fitment",
    "Which part sits in which position, when",
    (
        _needed("position", _POSITION, "The position"),
        _needed("part", PartNumber(), "The part"),
        Field("qty", Quantity(), "How many", default=Decimal(1)),
        _when("when", "Where it applies, given that the position exists"),
        Field("rank", Whole(1, 99), "Higher ranks are alternates", default=1),
        _note(),
    ),
)

CONTENT = Record(
    "content",
    "A part of what is sold together",
    (
        _needed("part", PartNumber(), "The part"),
        Field("qty", Quantity(), "How many", default=Decimal(1)),
    ),
)

SOLD_AS = Record(
    "sold as",
    "What is ordered instead",
    (
        _needed("number", PartNumber(), "The part that is ordered"),
        _needed("contents", ListOf(CONTENT, least=1), "What it holds"),
    ),
)

REUSE = Record(
    "reuse limit",
    "Until when a fastener is used again; at least one field",
    (
        Field("max_length_mm", _ABOVE, "Longest length allowed", says_default="none"),
        Field("max_uses", Whole(1, 999), "Most uses", says_default="none"),
        Field("inspect", _TEXT, "What to look for", says_default="none"),
    ),
)

PAD = Record(
    "pad",
    "What a part adds to a clamped stack at the screw's seat",
    (
        _needed("mm", _FIGURE, "Thickness; of a gasket, when set"),
        *_tolerance("", "the thickness"),
        Field("soft", Truth(), "Gives under load", default=False),
        Field("free_mm", _FIGURE, "Thickness before clamping", says_default="as mm"),
    ),
)

HOLE = Record(
    "hole",
    "A tapped hole in a part",
    (
        _needed("thread", _LINE, "Such as M10x1.5"),
        _needed("form", Words(("blind", "through")), "Blind or through"),
        Field(
            "threaded_mm",
            _ABOVE,
            "Threaded depth from the mating face, a minimum",
            says_default="drilled_mm less the run-out",
        ),
        Field("drilled_mm", _ABOVE, "Drilled depth", says_default="not known"),
        Field("entry_mm", _FIGURE, "Countersink or counterbore", default=NOUGHT),
        *_tolerance("entry_", "the entry"),
        Field(
            "thickness_mm", _ABOVE, "Of the part, where through", says_default="none"
        ),
        *_tolerance("thickness_", "the part's thickness"),
        Field("exit_mm", _FIGURE, "Countersink at the far face", default=NOUGHT),
        _needed("material", Words(MATERIALS), "Of the part"),
        Field(
            "strength_mpa",
            _ABOVE,
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
        _needed("standard", _LINE, "Such as ISO 4762"),
        _needed("thread", _LINE, "Such as M10"),
        _needed("length_mm", _ABOVE, "Nominal length"),
        _needed("property_class", _LINE, "Such as 10.9"),
        Field("finish", _LINE, "Coating", says_default="not stated"),
        Field(
            "fully_threaded",
            Truth(),
            "Threaded to the head",
            says_default="as the standard",
        ),
        Field("thread_mm", _ABOVE, "Thread length", says_default="as the standard"),
        Field("preferred", Truth(), "Taken first among equals", default=False),
    ),
)

NUT = Record(
    "nut",
    "What makes a part a nut",
    (
        _needed("standard", _LINE, "Such as ISO 4032"),
        _needed("thread", _LINE, "Such as M10"),
        Field("height_mm", _ABOVE, "Height", says_default="as the standard"),
        *_tolerance("", "the height"),
    ),
)

STUD = Record(
    "stud",
    "What makes a part a stud",
    (
        _needed("hole_thread", _LINE, "Thread of the set end"),
        _needed("nut_thread", _LINE, "Thread of the nut end"),
        _needed("property_class", _LINE, "Such as 8.8"),
        _needed("length_mm", _ABOVE, "Overall length"),
        *_tolerance("", "the length"),
        Field("set_mm", _FIGURE, "Length of the set end in the hole", default=NOUGHT),
        *_tolerance("set_", "the set end"),
    ),
)

PART = Record(
    "part",
    "Engineering data of a part",
    (
        _needed("number", PartNumber(), "Its number"),
        _like("part number"),
        _needed("name", _LINE, "Its name"),
        Field("kind", Words(KINDS), "What it is", default="component"),
        Field("unit", Words(UNITS), "UN/ECE Recommendation 20 unit", default="C62"),
        Field("mass_kg", _FIGURE, "Mass of one unit", says_default="not known"),
        Field(
            "reuse",
            WordsOr(("freely", "single"), REUSE),
            "Whether it is fitted again",
            default="freely",
        ),
        Field("sold_as", SOLD_AS, "Not sold alone", says_default="sold alone"),
        Field("not_sold", _TEXT, "Why it is not to be had", says_default="to be had"),
        _list("includes", _POSITIONS, "It brings what sits in these positions"),
        _list("renew_with", _POSITIONS, "Renewed whenever this part is"),
        Field("keep_matched", _TEXT, "What stays together", says_default="none"),
        Field("hand", _TEXT, "Left, right, this way up", says_default="none"),
        _list("cautions", ListOf(_TEXT), "Cautions"),
        Field("pads", MapOf(_CODE, PAD), "What it adds to clamped stacks", default={}),
        Field("holes", MapOf(_CODE, HOLE), "Its tapped holes", default={}),
        Field("screw", SCREW, "It is a screw", says_default="it is none"),
        Field("nut", NUT, "It is a nut", says_default="it is none"),
        Field("stud", STUD, "It is a stud", says_default="it is none"),
    ),
)

HOLE_PLACE = Record(
    "hole place",
    "A hole of a joint, mm from its datum, seen from the head side",
    (
        _needed("hole", _HOLE_NUMBER, "Its number, once in a joint"),
        Field("x", _ANY_FIGURE, "Along, mm", says_default="not placed"),
        Field("y", _ANY_FIGURE, "Across, mm", says_default="not placed"),
    ),
)

LAYER = Record(
    "layer",
    "A clamped layer",
    (
        _needed("position", _POSITION, "Whose part it is"),
        _needed("pad", _CODE, "Which pad of that part"),
        Field("per", Words(("joint", "hole")), "One for all, or each", default="joint"),
        Field("count", Words(("1", "qty")), "Pads, or the fitment's qty", default="1"),
    ),
)

INTO = Record(
    "into",
    "What the thread goes into",
    (
        Field("position", _POSITION, "Whose part is tapped", says_default="none"),
        Field("hole", _CODE, "Which hole of that part", says_default="none"),
        Field("nut", _POSITION, "Where the nut sits", says_default="no nut"),
    ),
)

STUD_USE = Record(
    "stud use",
    "A stud instead of a screw",
    (
        _needed("position", _POSITION, "Where the stud sits"),
        Field("stays", Truth(), "It is left in when the joint opens", default=False),
    ),
)

SCREW_WANTED = Record(
    "screw wanted",
    "What screw is computed",
    (
        _needed("standard", ListOf(_LINE, least=1), "In order of preference"),
        _needed("thread", _LINE, "Such as M10"),
        _needed("property_class", _LINE, "Such as 10.9"),
        Field("finish", _LINE, "Coating", says_default="any"),
    ),
)

STATED = Record(
    "stated screw",
    "A screw that the maker states",
    (
        _needed("part", PartNumber(), "The screw"),
        _when("when", "Where it is stated"),
    ),
)

GROUP = Record(
    "group",
    "Holes that share stack, seat and thread",
    (
        _needed("code", _CODE, "Its code"),
        Field("label", _LINE, "Its name for people", says_default="its code"),
        _when("exists", "In which builds it exists, given that the joint does"),
        _needed("holes", ListOf(HOLE_PLACE, least=1), "Its holes"),
        _list("layers", ListOf(LAYER), "From the head to the thread"),
        Field("into", INTO, "What the thread goes into", says_default="the joint's"),
        Field("stud", STUD_USE, "A stud instead of a screw", says_default="none"),
        Field("screw", SCREW_WANTED, "What is computed", says_default="the joint's"),
        _list("stated", ListOf(STATED), "What the maker states"),
        Field("engagement_mm", _ABOVE, "Engagement needed", says_default="computed"),
        Field(
            "protrusion_mm", _FIGURE, "Most beyond the far face", says_default="free"
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
        _list("groups", ListOf(_CODE), "Which groups; all where none is named"),
        _list("order", ListOf(_HOLE_NUMBER), "Holes in order"),
        Field("torque_nm", _ABOVE, "To this torque", says_default="one figure"),
        Field("angle_deg", _ABOVE, "Further by this angle", says_default="one figure"),
        Field("loosen_deg", _ABOVE, "Back by this angle", says_default="one figure"),
        Field(
            "stretch_mm", _ABOVE, "Until stretched by this", says_default="one figure"
        ),
    ),
)

TIGHTEN = Record(
    "tightening",
    "How the maker tightens the joint",
    (
        _list("passes", ListOf(PASS), "Passes in order"),
        _list("loosen_order", ListOf(_HOLE_NUMBER), "Holes in order of loosening"),
        _note(),
    ),
)

CIRCLE = Record(
    "circle",
    "A circle of the drawing, mm",
    (
        _needed("x", _ANY_FIGURE, "Centre, along"),
        _needed("y", _ANY_FIGURE, "Centre, across"),
        _needed("d", _ABOVE, "Diameter"),
    ),
)

DRAWING = Record(
    "drawing",
    "Outline for the screw map, in the coordinates of the holes",
    (
        _list("outline", ListOf(Pair(_ANY_FIGURE, ("x", "y"))), "Points, closed"),
        _list("circles", ListOf(CIRCLE), "Circles"),
    ),
)

JOINT = Record(
    "joint",
    "Holes, clamped layers, screws, tightening",
    (
        _needed("code", _CODE, "Its code"),
        _like("joint"),
        _needed("label", _LINE, "Its name for people"),
        _each(),
        _when("exists", "In which builds it exists"),
        _list("seals", _POSITIONS, "Renewed whenever the joint is opened"),
        Field("screw", SCREW_WANTED, "Of groups that name none", says_default="none"),
        Field("into", INTO, "Of groups that name none", says_default="none"),
        Field(
            "threads", Words(THREAD_STATES), "Of groups that name none", default="dry"
        ),
        _list("groups", ListOf(GROUP), "Groups of holes"),
        Field("tighten", TIGHTEN, "As the maker states", says_default="not stated"),
        Field("drawing", DRAWING, "For the screw map", says_default="none"),
    ),
)

USE = Record(
    "use",
    "What a step uses up",
    (
        _needed("part", PartNumber(), "The part"),
        Field("qty", Quantity(), "How much", default=Decimal(1)),
        _when("when", "Where it is used, given that the step exists"),
    ),
)

STEP = Record(
    "step",
    "Strip-down or refit work",
    (
        _needed("code", _CODE, "Its code; steps and positions share one namespace"),
        _like("step"),
        _needed("label", _LINE, "Its name for people"),
        _each(),
        _when("exists", "In which builds it exists"),
        _list("frees", _POSITIONS, "What comes out"),
        _list("opens", _JOINTS, "Joints it opens"),
        _list(
            "loosens",
            ListOf(Named("group, such as pan_rail.a")),
            "Screws out, seals stay",
        ),
        _list("needs", ListOf(Named("position or step")), "Off or done first"),
        _list("then", _STEPS, "Also owed when this is done"),
        _list("after", _STEPS, "Refit comes after these"),
        Field("minutes_off", _FIGURE, "Of strip-down", default=NOUGHT),
        Field("minutes_on", _FIGURE, "Of refit", default=NOUGHT),
        _list("uses", ListOf(USE), "What it uses up"),
        Field("lift_kg", _FIGURE, "What is lifted", says_default="what leaves with it"),
        _list("tools", ListOf(_TEXT), "Tools"),
        _list("cautions", ListOf(_TEXT), "Cautions"),
    ),
)

JOB = Record(
    "job",
    "What a clerk picks from the menu",
    (
        _needed("code", _CODE, "Its code"),
        _needed("label", _LINE, "Its name for people"),
        _each(),
        _when("exists", "In which builds it exists"),
        _list("renew", _POSITIONS, "Positions to renew"),
        _list("reseal", _JOINTS, "Joints to reseal"),
        _list("do", _STEPS, "Steps to do"),
        _list("check", _POSITIONS, "Positions to look at"),
        _note(),
    ),
)

DOCUMENT = Record(
    "document",
    "What a family's revision says",
    (
        _needed("format", Whole(FORMAT, FORMAT), "Version of this format"),
        _needed("family", FAMILY, "The family"),
        _list("options", ListOf(OPTION), "The option tree"),
        _list("rules", ListOf(RULE), "What goes with what"),
        _list("sections", ListOf(SECTION), "Where on the engine"),
        _list("positions", ListOf(POSITION), "Slots that hold parts"),
        _list("parts", ListOf(PART), "Engineering data of each part"),
        _list("fitments", ListOf(FITMENT), "Which part sits where, when"),
        _list("joints", ListOf(JOINT), "Holes, layers, screws, tightening"),
        _list("steps", ListOf(STEP), "Strip-down and refit work"),
        _list("jobs", ListOf(JOB), "The menu a clerk picks from"),
    ),
)

RECORDS = (
    DOCUMENT, FAMILY, SERIAL, OPTION, CHOICE, RULE, SECTION, POSITION, FITMENT,
    PART, REUSE, SOLD_AS, CONTENT, PAD, HOLE, SCREW, NUT, STUD,
    JOINT, GROUP, HOLE_PLACE, LAYER, INTO, STUD_USE, SCREW_WANTED, STATED,
    TIGHTEN, PASS, DRAWING, CIRCLE, STEP, USE, JOB,
)  # fmt: skip
"""Every record, in the order of the document."""

LIKENED = {"options": "code", "parts": "number", "joints": "code", "steps": "code"}
"""Lists whose items may say `like`, and the field that names an item of each."""

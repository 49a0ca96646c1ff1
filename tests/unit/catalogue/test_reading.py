"""What a sound document says, as values."""

from __future__ import annotations

from decimal import Decimal

import pytest

from bomsvc.core.catalogue import Catalogue, Limits, keys_of, read_catalogue
from bomsvc.core.catalogue.conditions import Among, MemberIs, Not, Or, SerialIs
from bomsvc.core.catalogue.entities import (
    Content,
    GroupRef,
    HolePlace,
    Into,
    Layer,
    Pad,
    Part,
    Prefix,
    Ref,
    ReuseLimit,
    ScrewWanted,
    SoldAs,
    Stated,
    StudUse,
    Under,
    Use,
)
from bomsvc.core.catalogue.forms.records import Record
from bomsvc.core.catalogue.keys import vocabulary_of
from bomsvc.core.catalogue.shape import RECORDS
from bomsvc.core.terms.problems import BadInput, TooLarge
from tests.unit.catalogue.sample import edited, problems_of, sample, told


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return read_catalogue(sample())


def part(catalogue: Catalogue, number: str) -> Part:
    return next(each for each in catalogue.parts if each.number == number)


def test_the_family_knows_its_series_and_its_serials_prefixes(
    catalogue: Catalogue,
) -> None:
    family = catalogue.family
    assert (family.code, family.maker) == ("dunlin", "Tarrow Engine Works")
    assert dict(family.series) == {"cylinder": 4, "main": 5}
    assert family.prefixes == (
        Prefix("N", "plant", "north"),
        Prefix("S", "plant", "south"),
    )


def test_lists_keep_the_order_of_the_document(catalogue: Catalogue) -> None:
    assert [option.code for option in catalogue.options] == [
        "plant", "sump", "gears", "helix", "extras", "more_extras", "main_size",
    ]  # fmt: skip


def test_an_option_may_hang_from_a_choice(catalogue: Catalogue) -> None:
    assert catalogue.options[3].under == Under("gears", "quiet")


def test_the_usual_choice_is_kept_where_it_is_not_the_default(
    catalogue: Catalogue,
) -> None:
    usual = {option.code: option.usual for option in catalogue.options}
    assert usual["gears"] == ("quiet",)
    assert usual["extras"] == ("heater",)
    assert usual["sump"] is None


@pytest.mark.parametrize(
    ("edit", "usual"),
    [
        (("/options/1/usual", "rear"), None),
        (("/options/1/usual", "front"), ("front",)),
        (("/options/4/usual", "[]"), None),
        (("/options/4/usual", "[guard, heater]"), ("guard", "heater")),
    ],
)
def test_the_first_choice_is_usual_and_of_several_none(
    edit: tuple[str, str], usual: tuple[str, ...] | None
) -> None:
    index = int(edit[0].split("/")[2])
    assert read_catalogue(edited(edit)).options[index].usual == usual


def test_bands_say_which_measure_means_which_choice(catalogue: Catalogue) -> None:
    standard, under = catalogue.options[6].choices
    assert standard.band_mm == (Decimal("79.98"), Decimal(80))
    assert under.band_mm == (Decimal("79.73"), Decimal("79.75"))


def test_a_fitments_condition_is_seen_from_its_position(catalogue: Catalogue) -> None:
    shell, thrust, shims = catalogue.fitments[10:13]
    assert shell.when == MemberIs("main", "!=", 4)
    assert thrust.position == Ref("main_upper", 4)
    assert thrust.when is None
    assert shims.when == Among("main_size", ("us25",))


def test_a_fitment_always_there_has_no_condition() -> None:
    catalogue = read_catalogue(edited(("/fitments/0/when", "always")))
    assert catalogue.fitments[0].when is None


def test_text_is_taken_from_a_number_exactly_as_written(catalogue: Catalogue) -> None:
    screw = part(catalogue, "W40.2025").screw
    assert screw is not None
    assert screw.property_class == "8.8"
    again = read_catalogue(edited(("/parts/4/screw/property_class", "8.80")))
    assert again.parts[4].screw is not None
    assert again.parts[4].screw.property_class == "8.80"


def test_a_part_number_that_looks_like_a_number_keeps_its_noughts() -> None:
    tree = edited(("/parts/3/number", "00123"), ("/fitments/4/part", '"00123"'))
    catalogue = read_catalogue(tree)
    assert catalogue.parts[3].number == "00123"
    assert catalogue.fitments[4].part == "00123"


def test_a_part_is_found_by_any_spelling_of_its_number(catalogue: Catalogue) -> None:
    assert catalogue.fitments[4].part == "W40.1200"
    spelled = edited(
        ("/parts/3/number", '"W40 12 g"'), ("/fitments/4/part", '" w40  12\\u00A0G "')
    )
    assert read_catalogue(spelled).fitments[4].part == "W40 12 g"


def test_a_quantity_is_exact(catalogue: Catalogue) -> None:
    assert catalogue.fitments[12].qty == Decimal(2)
    assert catalogue.steps[1].uses == (
        Use("W40.9000", Decimal("0.03"), Among("sump", ("front",))),
    )


def test_tolerances_go_both_ways_or_each_its_own(catalogue: Catalogue) -> None:
    pads = part(catalogue, "W40.1187").pads
    assert pads["rail"] == Pad(Decimal(12), Decimal("0.3"), Decimal("0.3"))
    assert pads["foot"] == Pad(Decimal("9.5"), Decimal("0.2"), Decimal("0.1"))
    hole = part(catalogue, "W40.1000").holes["deep"]
    assert (hole.thickness_plus, hole.thickness_minus) == (Decimal("0.2"), Decimal(0))
    stud = part(catalogue, "W40.2200").stud
    assert stud is not None
    assert (stud.plus, stud.minus, stud.set_plus, stud.set_minus) == (
        Decimal("0.5"),
        Decimal("0.5"),
        Decimal(1),
        Decimal(0),
    )


def test_a_nut_may_leave_its_height_to_the_standard() -> None:
    catalogue = read_catalogue(
        edited(("/parts/8/nut", "{standard: ISO 4032, thread: M10}"))
    )
    assert catalogue.parts[8].nut is not None
    assert catalogue.parts[8].nut.height_mm is None


def test_reuse_is_free_once_or_limited(catalogue: Catalogue) -> None:
    assert part(catalogue, "W40.1000").reuse == "freely"
    assert part(catalogue, "W40.1200").reuse == "single"
    assert part(catalogue, "W40.2025").reuse == ReuseLimit(
        Decimal("25.4"), 3, "Threads clean and straight"
    )


def test_what_is_not_sold_alone_names_what_is_ordered(catalogue: Catalogue) -> None:
    assert part(catalogue, "W40.3000").sold_as == SoldAs(
        "W40.3010", (Content("W40.3000", Decimal(5)),)
    )
    assert part(catalogue, "W40.3001").includes == (Ref("cap_shims", 4),)
    assert part(catalogue, "W40.1188").renew_with == (Ref("pan_gasket"),)


def test_a_group_takes_over_what_its_joint_says(catalogue: Catalogue) -> None:
    first, second = catalogue.joints[0].groups
    wanted = ScrewWanted(("ISO 4762", "ISO 4014"), "M8", "8.8")
    assert (first.screw, second.screw) == (wanted, wanted)
    assert first.into == Into(Ref("block"), "rail")
    assert (first.threads, second.threads) == ("oiled", "sealant")
    assert second.into == Into(Ref("block"), "deep", Ref("pan_nuts"))
    assert second.stud == StudUse(Ref("pan_studs"), stays=True)
    assert first.stated == (Stated("W40.2025", SerialIs("<", 30000)),)
    assert first.layers[0] == Layer(Ref("pan_washers"), "seat", "hole")
    assert first.layers[2].count == "qty"
    assert second.holes == (HolePlace(3),)


def test_a_group_that_states_its_screw_needs_no_other() -> None:
    bare = edited(
        ("/joints/0/screw", "(gone)"),
        ("/joints/0/groups/0/stated", "[{part: W40.2025}]"),
    )
    assert read_catalogue(bare).joints[0].groups[0].screw is None


def test_tightening_is_kept_pass_by_pass(catalogue: Catalogue) -> None:
    tighten = catalogue.joints[0].tighten
    assert tighten is not None
    assert [each.torque_nm for each in tighten.passes] == [Decimal(12), None]
    assert [each.angle_deg for each in tighten.passes] == [None, Decimal(90)]
    assert tighten.loosen_order == (3, 2, 1)


def test_a_pass_that_names_no_group_may_order_all_holes() -> None:
    tree = edited(("/joints/0/tighten/passes/0", "{order: [3, 1, 2], angle_deg: 5}"))
    tighten = read_catalogue(tree).joints[0].tighten
    assert tighten is not None
    assert tighten.passes[0].order == (3, 1, 2)


def test_the_drawing_has_points_and_circles(catalogue: Catalogue) -> None:
    drawing = catalogue.joints[0].drawing
    assert drawing is not None
    assert drawing.outline[1] == (Decimal("90.5"), Decimal(-10))
    assert drawing.circles[0].d == Decimal(30)


def test_a_step_may_need_positions_and_steps(catalogue: Catalogue) -> None:
    assert catalogue.steps[2].needs == (Ref("drain"),)
    assert catalogue.steps[3].needs == (Ref("pan"),)


def test_groups_are_named_with_their_joint(catalogue: Catalogue) -> None:
    assert catalogue.steps[4].loosens == (
        GroupRef(Ref("main_cap"), "c"),
        GroupRef(Ref("main_cap", 4), "c"),
        GroupRef(Ref("pan_rail"), "a"),
    )


def test_steps_that_wait_on_one_another_are_left_to_the_proof() -> None:
    assert not problems_of(
        edited(("/steps/0/needs", "[pan_off]"), ("/steps/1/then", "[drain]"))
    )


def test_a_layer_may_name_a_member_of_the_joints_own_series() -> None:
    tree = edited(
        ("/joints/1/groups/0/layers/-", '{position: "main_upper[2]", pad: back}')
    )
    group = read_catalogue(tree).joints[1].groups[0]
    assert group.layers[1].position == Ref("main_upper", 2)


def test_an_option_of_a_series_may_hang_from_one_of_the_same_series() -> None:
    tree = edited(
        (
            "/options/-",
            "{code: shell_kind, label: K, each: main, under: main_size.us25, "
            "choices: [{code: a, label: A}]}",
        ),
        (
            "/options/-",
            "{code: fourth, label: F, under: 'main_size[4].us25', "
            "choices: [{code: a, label: A}]}",
        ),
    )
    options = read_catalogue(tree).options
    assert options[-2].under == Under("main_size", "us25")
    assert options[-1].under == Under("main_size", "us25", 4)


def test_nothing_optional_need_be_there() -> None:
    catalogue = read_catalogue(
        {"format": sample()["format"], "family": {"code": "bare", "name": "Bare"}}
    )
    assert catalogue.options == ()
    assert catalogue.family.prefixes == ()


def test_null_is_the_same_as_absent() -> None:
    with_nulls = edited(
        ("/family/maker", "null"), ("/options/0/ask", "null"), ("/jobs", "null")
    )
    without = edited(
        ("/family/maker", "(gone)"), ("/options/0/ask", "(gone)"), ("/jobs", "(gone)")
    )
    assert read_catalogue(with_nulls) == read_catalogue(without)


def test_keys_name_every_member_in_order(catalogue: Catalogue) -> None:
    assert keys_of(catalogue, "pan", None) == ("pan",)
    assert keys_of(catalogue, "cap", "cylinder") == (
        "cap[1]", "cap[2]", "cap[3]", "cap[4]",
    )  # fmt: skip


def test_the_vocabulary_is_what_conditions_may_say(catalogue: Catalogue) -> None:
    words = vocabulary_of(catalogue)
    assert words.options["main_size"].each == "main"
    assert words.options["sump"].choices == ("rear", "front")
    assert words.codes[0] == "plant"
    assert dict(words.series) == {"cylinder": 4, "main": 5}


@pytest.mark.parametrize(
    ("limits", "says"),
    [
        (Limits(options=6), "the list has 7 options; at most 6 are read"),
        (Limits(fitments=12), "the list has 13 fitments; at most 12 are read"),
    ],
)
def test_a_document_over_a_limit_is_refused_with_the_limit_named(
    limits: Limits, says: str
) -> None:
    with pytest.raises(TooLarge) as caught:
        read_catalogue(sample(), limits=limits)
    assert caught.value.problems[0].detail == says


def test_a_text_for_people_may_have_several_lines() -> None:
    tree = edited(("/family/note", '"one\\n\\ttwo"'))
    assert read_catalogue(tree).family.note == "one\n\ttwo"


@pytest.mark.parametrize(
    "character", ["\\r", "\\x00", "\\ufffe", "\\U0001ffff", "\\x85"]
)
def test_what_no_workbook_can_hold_is_refused(character: str) -> None:
    found = problems_of(edited(("/family/note", f'"a{character}b"')))
    assert [problem.code for problem in found] == ["bad_character"]


def test_a_text_may_be_long_but_not_endless() -> None:
    assert not problems_of(edited(("/family/note", "x" * 10_000)))
    assert [told(p) for p in problems_of(edited(("/family/note", "x" * 10_001)))] == [
        "/family/note | text_too_long | the text has 10,001 characters; at most 10,000"
    ]
    assert problems_of(edited(("/family/name", "x" * 301)))


@pytest.mark.parametrize(
    "text",
    [
        "\uff37\uff14\uff10",
        "pan\u202e",
        "pa\u0440",
        "p\u200ban",
        "\ufeffpan",
        "1pan",
        "pan-a",
    ],
)
def test_a_code_is_plain_small_letters(text: str) -> None:
    found = problems_of(edited(("/jobs/0/code", f'"{text}"')))
    assert [problem.code for problem in found] == ["bad_code"]
    assert found[0].detail.isprintable()


def test_a_refusal_reads_as_sentences_with_their_places() -> None:
    with pytest.raises(BadInput, match=r"/jobs/0/code: the text \"Job\" is not a code"):
        read_catalogue(edited(("/jobs/0/code", "Job")))


def test_or_is_kept_in_a_fitments_condition(catalogue: Catalogue) -> None:
    assert catalogue.fitments[6].when == Or(
        (SerialIs("<", 30000), Not(Among("extras", ("guard",))))
    )


def test_a_serials_prefix_is_not_blank() -> None:
    tree = sample()
    tree["family"]["serial"]["prefixes"] = {" ": "plant.north"}
    assert [told(problem) for problem in problems_of(tree)] == [
        "/family/serial/prefixes/  | blank_text | the text is blank; write something"
    ]


def test_suggestions_end_before_they_take_long(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("bomsvc.core.catalogue.reading._COMPARISONS", 15)
    found = problems_of(edited(("/jobs/0/renew", "[pann, blok, heatr]")))
    assert [problem.remedy for problem in found] == ["pan", "block", None]
    assert "known: block, pan" in found[2].detail


def test_a_form_that_must_be_there_has_a_stand_in_and_says_what_it_is() -> None:
    for record in RECORDS:
        for field in record.fields:
            assert field.form.says
            if not isinstance(field.form, Record):
                field.form.stand_in()
    with pytest.raises(AssertionError):
        RECORDS[0].stand_in()

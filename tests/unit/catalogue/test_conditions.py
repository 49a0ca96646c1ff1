"""Conditions: what they mean, how they are printed, what is told of wrong ones."""

from __future__ import annotations

import pytest

from bomsvc.core.catalogue.conditions import (
    ALWAYS,
    ANY_OWNER,
    NEVER,
    Among,
    And,
    Condition,
    ConditionError,
    MemberIs,
    Not,
    OptionWords,
    Or,
    SerialIs,
    Vocabulary,
    parse_condition,
    print_condition,
    read_condition,
)

WORDS = Vocabulary(
    {
        "sump": OptionWords(("rear", "front")),
        "gears": OptionWords(("plain", "quiet")),
        "brake": OptionWords(("none", "single")),
        "extras": OptionWords(("heater", "guard")),
        "main_size": OptionWords(("std", "us25"), "main"),
        "lost": OptionWords(("a",), "unknown_series"),
    },
    {"main": 7, "cylinder": 6},
)
REAR, QUIET = Among("sump", ("rear",)), Among("gears", ("quiet",))
NO_BRAKE = Among("brake", ("none",))


def parsed(text: str, owner_series: str | None = None) -> Condition:
    return parse_condition(text, WORDS, owner_series=owner_series)


@pytest.mark.parametrize(
    ("text", "meaning"),
    [
        ("always", ALWAYS),
        ("never", NEVER),
        ("sump = rear", REAR),
        ("sump != rear", Not(REAR)),
        ("not sump = rear", Not(REAR)),
        ("sump in (rear, front)", Among("sump", ("rear", "front"))),
        ("sump in (rear)", REAR),
        ("sump in (rear, rear)", REAR),
        ("serial >= 210000", SerialIs(">=", 210000)),
        ("serial != 007", SerialIs("!=", 7)),
        ("main_size[4] = us25", Among("main_size", ("us25",), 4)),
        ("main_size[all] = std", Among("main_size", ("std",), "all")),
        ("main_size[any] != std", Not(Among("main_size", ("std",), "all"))),
        ("main_size[all] != std", Not(Among("main_size", ("std",), "any"))),
        ("main_size[2] != std", Not(Among("main_size", ("std",), 2))),
        ("lost = a", Among("lost", ("a",))),
        ("lost[99] = a", Among("lost", ("a",), 99)),
        ("not not sump = rear", Not(Not(REAR))),
        ("  sump=rear\n", REAR),
    ],
)
def test_a_statement_means_what_it_says(text: str, meaning: Condition) -> None:
    assert parsed(text) == meaning


def test_or_binds_weaker_than_and_and_and_weaker_than_not() -> None:
    assert parsed("sump = rear or gears = quiet and not brake = none") == Or(
        (REAR, And((QUIET, Not(NO_BRAKE))))
    )
    assert parsed("(sump = rear or gears = quiet) and not brake = none") == And(
        (Or((REAR, QUIET)), Not(NO_BRAKE))
    )
    assert parsed("not (sump = rear and gears = quiet)") == Not(And((REAR, QUIET)))


def test_needless_parentheses_mean_nothing() -> None:
    assert parsed("sump = rear and (gears = quiet and brake = none)") == And(
        (REAR, QUIET, NO_BRAKE)
    )
    assert parsed("((sump = rear) or (gears = quiet or brake = none))") == Or(
        (REAR, QUIET, NO_BRAKE)
    )


def test_inside_an_item_of_a_series_a_bare_name_is_the_same_member() -> None:
    assert parsed("main_size = us25 and main <= 3", "main") == And(
        (Among("main_size", ("us25",)), MemberIs("main", "<=", 3))
    )


def test_where_the_owner_is_not_known_any_series_may_be_its_own() -> None:
    assert parsed("main_size = std and cylinder = 2", ANY_OWNER) == And(
        (Among("main_size", ("std",)), MemberIs("cylinder", "=", 2))
    )


@pytest.mark.parametrize(
    ("text", "canonical"),
    [
        (
            "sump=rear   and(gears in(plain,quiet))",
            "sump = rear and gears in (plain, quiet)",
        ),
        ("not sump = rear", "sump != rear"),
        ("not sump in (rear, front)", "not sump in (rear, front)"),
        ("not (sump = rear or brake = none)", "not (sump = rear or brake = none)"),
        ("not (serial = 5)", "not serial = 5"),
        ("not not sump = rear", "not sump != rear"),
        ("not always", "not always"),
        ("never or always", "never or always"),
        (
            "(sump = rear or brake = none) and gears = quiet or always",
            "(sump = rear or brake = none) and gears = quiet or always",
        ),
        ("(main_size[04] = std)", "main_size[4] = std"),
        ("serial < 00021000", "serial < 21000"),
    ],
)
def test_it_is_printed_with_the_fewest_parentheses(text: str, canonical: str) -> None:
    assert print_condition(parsed(text)) == canonical
    assert print_condition(parsed(canonical)) == canonical


ERRORS = [
    (
        "sump = reer and gears = plain",
        """\
sump has no choice reer; the nearest is rear
    sump = reer and gears = plain
           ^^^^""",
    ),
    (
        "smup = rear",
        """\
there is no option smup; the nearest is sump
    smup = rear
    ^^^^""",
    ),
    (
        "smup[4] = rear",
        """\
there is no option smup; the nearest is sump
    smup[4] = rear
    ^^^^""",
    ),
    (
        "gears = loud",
        """\
gears has no choice loud; known: plain, quiet
    gears = loud
            ^^^^""",
    ),
    (
        "main_size = us25",
        """\
main_size stands once for each main; which one: main_size[n], main_size[all] or \
main_size[any]?
    main_size = us25
    ^^^^^^^^^""",
    ),
    (
        "main_size[8] = us25",
        """\
main goes from 1 to 7
    main_size[8] = us25
              ^""",
    ),
    (
        "main_size[0] = us25",
        """\
main goes from 1 to 7
    main_size[0] = us25
              ^""",
    ),
    (
        "sump[1] = rear",
        """\
sump stands only once; leave out [1]
    sump[1] = rear
         ^""",
    ),
    (
        "main_size[some] = std",
        """\
a member's number, all or any is due, as in: [4]
    main_size[some] = std
              ^^^^""",
    ),
    (
        "main_size[4 = std",
        """\
a ] is due
    main_size[4 = std
                ^""",
    ),
    (
        "main = 4",
        """\
main is a number only in an item with `each: main`; this one stands only once
    main = 4
    ^^^^""",
    ),
    (
        "sump not in (rear)",
        """\
write: not sump in (...)
    sump not in (rear)
         ^^^""",
    ),
    (
        "sump in rear",
        """\
choices are due in parentheses, as in: sump in (a, b)
    sump in rear
            ^^^^""",
    ),
    (
        "sump in (rear front)",
        """\
a , or ) is due
    sump in (rear front)
                  ^^^^^""",
    ),
    (
        "sump in ()",
        """\
a choice of sump is due here
    sump in ()
             ^""",
    ),
    (
        "sump == rear",
        """\
a choice of sump is due here; write = once
    sump == rear
          ^""",
    ),
    (
        "sump > 3",
        """\
> compares only serial and the item's own series
    sump > 3
         ^""",
    ),
    (
        "sump",
        """\
= or != or in (...) is due here
    sump
        ^""",
    ),
    (
        "sump = rear gears = plain",
        """\
and or or is due before the next option
    sump = rear gears = plain
                ^^^^^""",
    ),
    (
        "sump = rear)",
        """\
and, or, or the end is due here
    sump = rear)
               ^""",
    ),
    (
        "(sump = rear",
        """\
a ) is due
    (sump = rear
                ^""",
    ),
    (
        "sump = rear and",
        """\
an option is due here, as in: sump = rear
    sump = rear and
                   ^""",
    ),
    (
        "and sump = rear",
        """\
an option is due here, as in: sump = rear
    and sump = rear
    ^^^""",
    ),
    (
        "serial",
        """\
one of < <= > >= = != is due here
    serial
          ^""",
    ),
    (
        "serial = rear",
        """\
a whole number is due here
    serial = rear
             ^^^^""",
    ),
    (
        "serial >= 0",
        """\
a serial is a whole number from 1 to 999,999,999
    serial >= 0
              ^""",
    ),
    (
        "serial >= 1234567890",
        """\
this number is too long; at most 9 digits are read
    serial >= 1234567890
              ^^^^^^^^^^""",
    ),
    (
        "sump = rear & gears = plain",
        """\
& has no meaning in a condition; write and
    sump = rear & gears = plain
                ^""",
    ),
    (
        "!sump = rear",
        """\
! has no meaning in a condition; write not
    !sump = rear
    ^""",
    ),
    (
        "sump = \u200brear",
        """\
U+200B has no meaning in a condition
    sump = \u200brear
           ^""",
    ),
    (
        "serial\n>= x",
        """\
a whole number is due here
    serial >= x
              ^""",
    ),
]


@pytest.mark.parametrize(("text", "told"), ERRORS, ids=[text for text, _ in ERRORS])
def test_an_error_underlines_the_spot(text: str, told: str) -> None:
    with pytest.raises(ConditionError) as caught:
        parsed(text)
    assert str(caught.value) == told


def test_a_member_comparison_of_another_series_names_the_items_own() -> None:
    with pytest.raises(ConditionError, match="here it is main"):
        parsed("cylinder = 3", "main")


def test_all_unknown_words_of_a_condition_are_told() -> None:
    errors = read_condition("gear = quiet or sump = reer", WORDS, owner_series=None)
    assert isinstance(errors, tuple)
    assert [(e.remedy, e.text[e.start : e.end]) for e in errors] == [
        ("gears", "gear"),
        ("rear", "reer"),
    ]


def test_unknown_words_before_broken_grammar_are_told_with_it() -> None:
    errors = read_condition("gear = quiet and", WORDS, owner_series=None)
    assert isinstance(errors, tuple)
    assert [error.start for error in errors] == [0, 16]


@pytest.mark.parametrize("opening", ["(", "not "])
def test_deep_nesting_is_refused_without_running_out_of_calls(opening: str) -> None:
    deep = 1_000 if opening == "not " else 4_000
    with pytest.raises(ConditionError, match="nesting is deeper than 64"):
        parsed(opening * deep + "sump = rear")


def test_sixty_four_levels_of_nesting_are_read() -> None:
    assert parsed("(" * 64 + "sump = rear" + ")" * 64) == REAR


def test_parentheses_beside_one_another_are_not_nesting() -> None:
    text = " and ".join(["(sump = rear)"] * 100)
    assert parsed(text) == And((REAR,) * 100)


def test_a_condition_over_four_kilobytes_is_refused() -> None:
    with pytest.raises(ConditionError, match="has 4,108 bytes; at most 4,096"):
        parsed("sump = rear or " * 273 + "sump = rear  ")


def test_bytes_are_counted_and_not_characters() -> None:
    with pytest.raises(ConditionError, match="at most 4,096"):
        parsed("é" * 2_100)


def test_a_condition_that_grows_over_the_limit_when_printed_is_refused() -> None:
    dense = "or".join(["(sump=rear)"] * 310)
    assert len(dense) < 4_096
    with pytest.raises(ConditionError, match="printed with its blanks, has 4,646"):
        parsed(dense)


def test_a_long_condition_that_stays_within_the_limit_is_read() -> None:
    text = " or ".join(["sump = rear"] * 200)
    assert print_condition(parsed(text)) == text


def test_a_long_condition_is_excerpted_about_the_spot() -> None:
    with pytest.raises(ConditionError) as caught:
        parsed(" or ".join(["sump = rear"] * 20 + ["sump = reer"] + ["always"] * 20))
    _, excerpt, carets = str(caught.value).split("\n")
    assert excerpt.startswith("    ... ")
    assert excerpt.endswith(" ...")
    assert excerpt[carets.index("^") :].startswith("reer")
    assert carets.strip() == "^^^^"


def test_only_conditions_can_be_printed() -> None:
    with pytest.raises(AssertionError, match="not a condition"):
        print_condition("sump = rear")  # type: ignore[arg-type]

from __future__ import annotations

import tracemalloc

import pytest

from bomsvc.core.catalogue.conditions import (
    NEVER,
    And,
    MemberIs,
    Not,
    Or,
    SerialIs,
)
from bomsvc.core.catalogue.entities import (
    Fitment,
    Option,
    Position,
    Ref,
    Under,
)
from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.logic.gates import Gates
from bomsvc.core.logic.known import NOTHING
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.standing import FALSE, TRUE, Lit
from tests.unit.logic.big_families import big_family
from tests.unit.logic.families import catalogue_of, is_, option, rule


def test_serials_are_cut_by_every_comparison_and_no_interval_is_empty() -> None:
    cuts = (
        SerialIs(">=", 21000),
        SerialIs("<=", 21043),
        SerialIs("=", 30000),
        SerialIs("<", 1),
        SerialIs(">", 999_999_999),
    )
    compiled = compile_catalogue(
        catalogue_of(option("a", "x"), rules=(rule("r", NEVER, Or(cuts)),))
    )
    assert list(compiled.options["serial"].choices) == [
        "1..20999",
        "21000..21043",
        "21044..29999",
        "30000..30000",
        "30001..",
    ]


def test_a_serial_nothing_compares_is_one_interval() -> None:
    compiled = compile_catalogue(catalogue_of(option("a", "x")))
    assert compiled.options["serial"].choices == {"1..": TRUE}


def test_a_serial_comparison_beyond_all_numbers_is_settled_by_form() -> None:
    slot = Position("slot", "Slot", "top")
    fits = tuple(
        Fitment(Ref("slot"), f"P{n}", when=SerialIs(sign, number))  # type: ignore[arg-type]
        for n, (sign, number) in enumerate(
            [(">=", 1), (">", 999_999_999), ("<", 1), ("=", 0), ("!=", 10**12)]
        )
    )
    compiled = compile_catalogue(
        catalogue_of(option("a", "x"), positions=(slot,), fitments=fits)
    )
    applies = [f.applies for f in compiled.standing.positions["slot"].fitments]
    assert applies == [TRUE, FALSE, FALSE, FALSE, TRUE]


def test_a_series_stands_once_per_member_and_knows_its_own() -> None:
    row = Position("main_upper", "Upper shell", "block", each="main")
    compiled = compile_catalogue(
        catalogue_of(
            Option("size", "Size", option("x", "std", "us25").choices, each="main"),
            positions=(row,),
            fitments=(
                Fitment(Ref("main_upper"), "S", when=is_("size", "std")),
                Fitment(Ref("main_upper", 3), "T", when=MemberIs("main", "=", 3)),
            ),
            series={"main": 3},
        )
    )
    positions = compiled.standing.positions
    assert list(positions) == ["main_upper[1]", "main_upper[2]", "main_upper[3]"]
    assert [len(p.fitments) for p in positions.values()] == [1, 1, 2]
    for member in (1, 2, 3):
        own = compiled.options[f"size[{member}]"].choices["std"]
        assert positions[f"main_upper[{member}]"].fitments[0].applies == own
    assert positions["main_upper[3]"].fitments[1].applies == TRUE


def test_references_mean_the_same_member_one_or_all() -> None:
    compiled = compile_catalogue(
        catalogue_of(
            option("a", "x"),
            positions=(
                Position("shell", "Shell", "block", each="main"),
                Position("case", "Case", "block"),
            ),
            series={"main": 2},
        )
    )
    assert compiled.keys_from(Ref("shell"), 2, "main") == ("shell[2]",)
    assert compiled.keys_from(Ref("shell", 1), 2, "main") == ("shell[1]",)
    assert compiled.keys_from(Ref("shell"), None, None) == ("shell[1]", "shell[2]")
    assert compiled.keys_from(Ref("case"), 2, "main") == ("case",)


def test_equal_conditions_are_one_literal_however_they_are_written() -> None:
    gates = Gates()
    a, b, c = gates.fresh(), gates.fresh(), gates.fresh()
    both = gates.all_of((a, b))
    assert gates.all_of((b, a, a)) == both
    assert gates.all_of((both, c)) == gates.all_of((a, gates.all_of((b, c))))
    assert gates.any_of((Lit(-a), Lit(-b))) == -both


def test_contradictions_fold_to_never_and_tautologies_to_always() -> None:
    gates = Gates()
    a, b = gates.fresh(), gates.fresh()
    assert gates.all_of((a, b, Lit(-a))) == FALSE
    assert gates.any_of((a, Lit(-a))) == TRUE
    assert gates.all_of((gates.all_of((a, b)), Lit(-b))) == FALSE
    assert gates.all_of(()) == TRUE
    assert gates.any_of(()) == FALSE


def test_compiling_twice_gives_the_same_variables_and_clauses() -> None:
    one, two = (compile_catalogue(big_family(40, 200)) for _ in range(2))
    assert one.model == two.model
    assert one.standing.positions == two.standing.positions


def test_an_option_with_many_choices_has_one_at_most() -> None:
    codes = [f"c{n}" for n in range(30)]
    compiled = compile_catalogue(
        catalogue_of(
            option("a", "x", "y"), option("wide", *codes, under=Under("a", "x"))
        )
    )
    clauses = [c for unit in compiled.model.structure for c in unit.clauses]
    assert len(clauses) < 200


@pytest.mark.long
def test_fifty_thousand_fitments_compile_small() -> None:
    catalogue = big_family(300, 50_000)
    tracemalloc.start()
    compiled = compile_catalogue(catalogue)
    size, _ = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert compiled.standing.positions
    assert size <= 60 * 2**20


def test_two_choices_of_one_option_are_never_both_so() -> None:
    slot = Position("slot", "Slot", "top")
    both = And((is_("a", "x"), is_("a", "y")))
    compiled = compile_catalogue(
        catalogue_of(
            option("a", "x", "y"),
            positions=(slot,),
            fitments=(
                Fitment(Ref("slot"), "P", when=both),
                Fitment(
                    Ref("slot"), "Q", when=And((is_("a", "x"), Not(is_("a", "x"))))
                ),
            ),
        )
    )
    fits = compiled.standing.positions["slot"].fitments
    states = Reasoner(compiled).states(NOTHING, [f.applies for f in fits])
    assert states == ("excluded", "excluded")
    assert fits[1].applies == FALSE

"""The demo family as a document: invented, whole, and made of sound parts."""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from tests.unit.seed.conftest import Demo


def test_the_family_says_that_it_is_invented(demo: Demo) -> None:
    assert "ALL DATA IS INVENTED" in demo.text.splitlines()[0]
    assert "Invented" in (demo.catalogue.family.note or "")


@pytest.mark.parametrize(
    ("kind", "least"),
    [
        ("sections", 45),
        ("positions", 200),
        ("joints", 40),
        ("steps", 90),
        ("jobs", 45),
        ("rules", 25),
    ],
)
def test_the_family_has_the_size_of_a_real_one(
    demo: Demo, kind: str, least: int
) -> None:
    assert len(getattr(demo.catalogue, kind)) >= least


def test_a_counter_can_know_eighteen_options_beside_the_serial(demo: Demo) -> None:
    """Those that are measured after strip-down stand beside them."""
    known = [option for option in demo.catalogue.options if option.known == "build"]
    assert len(known) == 18
    assert len(known) < len(demo.catalogue.options)


def test_every_option_can_be_asked_or_is_measured(demo: Demo) -> None:
    for option in demo.catalogue.options:
        assert option.ask or option.known == "measured", option.code


def test_every_choice_tells_how_to_know_it(demo: Demo) -> None:
    for option in demo.catalogue.options:
        for choice in option.choices:
            assert choice.tell or choice.band_mm, (option.code, choice.code)


def test_every_rule_says_why(demo: Demo) -> None:
    for rule in demo.catalogue.rules:
        assert rule.because.endswith("."), rule.code


def test_measured_bands_neither_overlap_nor_leave_a_gap(demo: Demo) -> None:
    """A micrometer reads thousandths: every reading means one size."""
    for option in demo.catalogue.options:
        bands = sorted(c.band_mm for c in option.choices if c.band_mm is not None)
        assert bands or option.known != "measured", option.code
        for (_, upper), (lower, _) in pairwise(bands):
            assert lower - upper == Decimal("0.001"), option.code


def test_every_part_is_weighed(demo: Demo) -> None:
    for part in demo.catalogue.parts:
        assert part.mass_kg is not None, part.number
        assert part.mass_kg > 0, part.number


def test_the_heaviest_part_is_the_block(demo: Demo) -> None:
    heaviest = max(demo.catalogue.parts, key=lambda part: part.mass_kg or Decimal(0))
    assert heaviest.name.startswith("Cylinder block")


def test_no_build_weighs_more_than_the_hoist_is_told(
    demo: Demo, some_builds: list[Any]
) -> None:
    (hoist,) = (s for s in demo.catalogue.steps if s.code == "engine_raise")
    for build in some_builds[:100]:
        kg = Decimal(0)
        for position in demo.compiled.standing.positions.values():
            for fitted in position.fitments:
                part = demo.parts[fitted.fitment.part]
                if fitted.fitment.rank != 1 or part.kind in {"fluid", "sealant"}:
                    continue
                if build.truth(fitted.applies):
                    kg += fitted.fitment.qty * (part.mass_kg or Decimal(0))
        assert 950 <= kg <= (hoist.lift_kg or 0), (kg, build.answers)


def test_a_set_contains_the_parts_that_are_sold_as_it(demo: Demo) -> None:
    for part in demo.catalogue.parts:
        if part.sold_as is None:
            continue
        assert part.sold_as.number in demo.parts
        assert part.number in {content.part for content in part.sold_as.contents}


def test_seals_outside_joints_are_never_used_twice(demo: Demo) -> None:
    sealing = {ref.code for joint in demo.catalogue.joints for ref in joint.seals}
    for fitment in demo.catalogue.fitments:
        part = demo.parts[fitment.part]
        if part.kind in {"gasket", "seal"} and fitment.position.code not in sealing:
            assert part.reuse == "single", part.number


def test_every_engine_on_file_has_a_valid_build(
    demo: Demo, engines: list[dict[str, Any]]
) -> None:
    assert len({row["serial"] for row in engines}) == len(engines) >= 6
    for row in engines:
        assert row["family"] == demo.catalogue.family.code
        assert set(row["sources"]) == set(row["answers"]), row["serial"]
        assert demo.reasoner.consistent(demo.known(row["answers"])), row["serial"]


def test_what_the_demo_must_show_is_there(demo: Demo) -> None:
    parts = demo.catalogue.parts
    assert any(part.keep_matched for part in parts)
    assert any(part.hand for part in parts)
    assert any(part.includes for part in parts)
    assert any(part.renew_with for part in parts)
    assert any(part.kind == "tool" for part in parts)
    assert any(f.rank > 1 for f in demo.catalogue.fitments)
    assert {p.fill for p in demo.catalogue.positions} == {"one", "optional", "several"}
    assert {rule.strength for rule in demo.catalogue.rules} == {"factory", "physical"}

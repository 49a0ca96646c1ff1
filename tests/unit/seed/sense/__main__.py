"""Every complaint about the demo, for whoever edits it.

`python -m tests.unit.seed.sense [DOCUMENT]` prints them, one on a line.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator
from functools import wraps
from pathlib import Path

from bomsvc.intake.document import read_document
from tests.unit.seed.sense import (
    cautions,
    engagement,
    fluids,
    holes,
    labour,
    lifting,
    lists,
    masses,
    naming,
    seals,
    torques,
    variety,
)
from tests.unit.seed.sense.engine import Engine, Listed
from tests.unit.seed.sense.lists import every_list

SEED = Path(__file__).parents[4] / "seed"
Check = Callable[[Engine], list[str]]


def of_lists(check: Callable[[Engine, Iterable[Listed]], list[str]]) -> Check:
    """The check on every job's list on a few builds."""

    @wraps(check)
    def checked(engine: Engine) -> list[str]:
        return check(engine, every_list(engine))

    return checked


CHECKS: tuple[Check, ...] = (
    variety.too_small,
    variety.too_little_variety,
    variety.bands_that_leave_gaps,
    naming.sections_of_no_use,
    naming.labels_of_several,
    naming.names_of_several_parts,
    naming.names_that_tell_another_size,
    naming.parts_that_are_alike,
    naming.screws_with_two_numbers,
    naming.parts_that_nothing_uses,
    masses.parts_without_mass,
    masses.parts_heavier_than_the_block,
    masses.builds_of_no_believable_mass,
    masses.note_that_tells_another_mass,
    masses.screws_of_no_believable_mass,
    masses.longer_screws_that_weigh_no_more,
    torques.torques_out_of_band,
    torques.angles_after_no_snug_torque,
    torques.torques_that_fall,
    engagement.screws_that_hold_too_little,
    engagement.thin_margins,
    holes.holes_outside_the_metal,
    holes.holes_too_near_one_another,
    holes.holes_of_one_name,
    holes.holes_left_out_of_an_order,
    seals.seals_that_no_job_renews,
    seals.seals_fitted_without_a_tool,
    lifting.heavy_parts_lifted_without_caution,
    lifting.steps_that_state_less_than_they_lift,
    lifting.engines_heavier_than_the_hoist_is_told,
    labour.jobs_that_are_expected,
    labour.jobs_of_unlikely_length,
    fluids.fills_of_unlikely_size,
    fluids.wells_that_hold_less_than_smaller_ones,
    fluids.fills_that_are_counted_twice,
    fluids.fluids_of_unlikely_density,
    of_lists(lists.lists_with_faults),
    of_lists(lists.single_use_parts_that_go_in_again),
    of_lists(lists.parts_ordered_outside_their_set),
    of_lists(lists.parts_listed_beside_what_includes_them),
    of_lists(lists.alternates_that_are_listed),
    of_lists(cautions.work_without_its_caution),
    of_lists(lambda _, listed: cautions.joints_shown_without_cautions(listed)),
    of_lists(lambda _, listed: cautions.strip_down_without_any_caution(listed)),
)


def complaints(engine: Engine) -> Iterator[str]:
    for check in CHECKS:
        for text in check(engine):
            yield f"{check.__name__}: {text}"


if __name__ == "__main__":
    path = Path(sys.argv[1]) if sys.argv[1:] else SEED / "catalogues/whimbrel.yaml"
    engine = Engine(read_document(path.read_bytes(), "yaml"))
    print("\n".join(complaints(engine)) or "No complaint.")  # noqa: T201

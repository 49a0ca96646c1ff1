"""Hours of the menu's jobs, as a workshop would expect them."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from bomsvc.core.logic.builds import Build
from tests.unit.seed.sense.engine import Engine, hours, text_of

# Hours from and to, ways in, fills and test run included, on any build.
# Common practice, no source.
EXPECTED: dict[str, tuple[float, float]] = {
    "change_oil": (0.5, 1.5),
    "renew_fuel_filter": (0.3, 1.5),
    "renew_air_element": (0.1, 0.5),
    "renew_fan_belt": (0.2, 1),
    "renew_coolant_hoses": (0.8, 3),
    "renew_thermostats": (1, 3),
    "renew_coolant_pump": (2, 6),
    "renew_damper": (1, 8),
    "renew_front_seal": (1, 12),
    "reseal_front_cover": (2, 14),
    "renew_rear_seal": (4, 12),
    "reseal_rear_carrier": (6, 24),
    "reseal_gear_case": (10, 30),
    "renew_gears": (5, 20),
    "reseal_sump": (2, 12),
    "renew_oil_pump": (3, 14),
    "renew_main_bearing": (3, 14),
    "renew_rod_bearing": (3, 14),
    "renew_front_head_gasket": (4, 20),
    "renew_rear_head_gasket": (4, 20),
    "renew_piston": (10, 32),
    "renew_liner": (10, 32),
    "renew_crankshaft": (25, 70),
    "renew_camshaft": (8, 30),
    "renew_turbo": (2, 8),
    "reseal_exhaust_manifold": (3, 10),
    "renew_injector": (1, 5),
    "renew_injection_pump": (2, 8),
    "reseal_rocker_cover": (0.5, 3),
    "set_valve_clearances": (1, 6),
    "reseal_oil_cooler": (2, 6),
    "renew_starter": (0.4, 2),
    "renew_alternator": (0.3, 2),
    "renew_flywheel": (4, 12),
    "renew_mounts": (3, 14),
}
ANY_JOB = (0.01, 40)
"""Nothing on the menu is done in no time, nor takes more than a week's work."""


def jobs_of_unlikely_length(engine: Engine) -> list[str]:
    return list(dict.fromkeys(_unlikely(engine)))


def _unlikely(engine: Engine) -> Iterator[str]:
    for build in [*engine.usual, *engine.extremes]:
        for key in engine.menu(build):
            job = engine.compiled.standing.jobs[key].job.code
            least, most = EXPECTED.get(job, ANY_JOB)
            took = _hours(engine, build, key)
            if not least <= took <= most:
                yield f"{key}: {took:.1f} h, not {least} to {most} h ({text_of(build)})"


def _hours(engine: Engine, build: Build, job: str) -> Decimal:
    return hours(engine.planned(build, [job]).minutes)


def jobs_that_are_expected(engine: Engine) -> list[str]:
    """The table is about jobs that are on the menu."""
    there = {job.code for job in engine.catalogue.jobs}
    return [f"{code}: not on the menu" for code in EXPECTED if code not in there]

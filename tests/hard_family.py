"""A small invented family that is hard to prove: pigeons that fit in no holes.

With the guard on, no two pigeons share a hole and there is one hole too few (the
pigeonhole principle; A. Haken, "The intractability of resolution", Theoretical
Computer Science 39, 1985), so that every question about it takes a solver long.
"""

from __future__ import annotations

from typing import Any


def hard_family(*, holes: int, positions: int) -> dict[str, Any]:
    """Return the document; `holes` + 1 pigeons, and positions that ask about them."""
    pigeons = range(holes + 1)
    return {
        "format": 1,
        "family": {"code": "pigeons", "name": "Pigeons", "note": "invented"},
        "options": [
            _option("guard", ["away", "there"]),
            *(_option(f"p{n}", [f"h{hole}" for hole in range(holes)]) for n in pigeons),
        ],
        "rules": [
            {
                "code": f"r{n}_{other}_{hole}",
                "when": f"guard = there and p{n} = h{hole}",
                "then": f"p{other} != h{hole}",
                "because": "one to a hole",
            }
            for n in pigeons
            for other in range(n)
            for hole in range(holes)
        ],
        "sections": [{"code": "loft", "label": "Loft"}],
        "positions": [
            {"code": f"q{n}", "label": f"Perch {n}", "section": "loft"}
            for n in range(positions)
        ],
        "parts": [
            {"number": f"W99.{n:04}", "name": f"Perch {n}"} for n in range(positions)
        ],
        "fitments": [
            {
                "position": f"q{n}",
                "part": f"W99.{n:04}",
                "when": f"guard = away or p0 != h{n % holes}",
            }
            for n in range(positions)
        ],
    }


def _option(code: str, choices: list[str]) -> dict[str, Any]:
    return {
        "code": code,
        "label": code,
        "ask": f"Which {code}?",
        "choices": [{"code": choice, "label": choice} for choice in choices],
    }

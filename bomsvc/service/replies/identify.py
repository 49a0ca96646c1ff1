"""The identify reply: what every choice can still be, or why answers clash."""

from __future__ import annotations

from collections.abc import Mapping

from bomsvc.core.logic.clash import Clash
from bomsvc.core.logic.identified import (
    Identified,
    IdentifiedChoice,
    IdentifiedOption,
)
from bomsvc.core.logic.reasons import Reason


def identify_reply(
    identified: Identified, *, revision: Mapping[str, object]
) -> dict[str, object]:
    """Return the reply of `POST .../identify`.

    Args:
        identified: What the logic found.
        revision: The revision's reference: family, number, digest.
    """
    left = identified.builds_left
    return {
        "revision": dict(revision),
        "consistent": identified.consistent,
        "builds_left": None if left is None else str(left),
        "options": [_option(option) for option in identified.options],
        "clash": None if identified.clash is None else clash_reply(identified.clash),
    }


def clash_reply(clash: Clash) -> dict[str, object]:
    """Return a contradiction with its repairs; also the body of a 409."""
    return {
        "answers": list(clash.answers),
        "rules": list(clash.rules),
        "repairs": [{"drop": list(names)} for names in clash.repairs],
        "waivers": [list(keys) for keys in clash.waivers],
        "because": [_reason(reason) for reason in clash.because],
    }


def _option(found: IdentifiedOption) -> dict[str, object]:
    option = found.option
    return {
        "code": option.key,
        "label": option.option.label,
        "active": found.active,
        "known": option.option.known,
        "choices": [
            {**_choice(choice), "label": option.label_of(choice.code)}
            for choice in found.choices
        ],
    }


def _choice(choice: IdentifiedChoice) -> dict[str, object]:
    return {
        "code": choice.code,
        "state": choice.state,
        "why": [_reason(reason) for reason in choice.why],
    }


def _reason(reason: Reason) -> dict[str, object]:
    return {reason.kind: reason.name, "because": reason.because}

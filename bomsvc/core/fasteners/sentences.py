"""Failures and findings in words, rendered from their facts."""

from __future__ import annotations

from fractions import Fraction

from bomsvc.core.fasteners.candidates import figure
from bomsvc.core.fasteners.values import Failure, Miss, Need

MISS_WORDS = {
    "too_little_engagement": "too little engagement",
    "bottoms_out": "bottoms out",
    "protrudes_too_far": "protrudes too far",
    "no_length_in_window": "no length in the window",
    "shank_too_long": "shank too long",
    "wrong_thread": "wrong thread",
}


def failure_detail(failure: Failure) -> str:
    """Say why nothing fits, or why a given screw does not, and by how much."""
    if failure.threads is not None:
        ours, theirs = failure.threads
        return f"A screw of thread {ours} does not go into {theirs}."
    if failure.form == "stud":
        return _stud(failure)
    if failure.parts:
        return _dead_end(failure)
    if failure.reason == "shank_too_long":
        return _shank(failure)
    if failure.length_mm is not None:
        return _given(failure)
    if failure.reason == "no_length_in_window":
        return _gap(failure)
    return _empty(failure)


def mm(value: Fraction | None) -> str:
    """A length for a sentence, "2.35 mm"; "?" where there is none."""
    return "?" if value is None else f"{figure(value)} mm"


def miss_detail(miss: Miss) -> str:
    """One bound that a length fails, "bottoms out by 3.6 mm"."""
    by = "" if miss.by_mm is None else f" by {mm(miss.by_mm)}"
    return f"{MISS_WORDS[miss.reason]}{by}"


def need_detail(need: Need) -> str:
    """The required engagement and what governs it."""
    both = f"stripping {mm(need.stripping_mm)}, guide {mm(need.guide_mm)}"
    if need.governs == "stated":
        return f"{mm(need.mm)} needed as the joint states ({both})"
    return f"{mm(need.mm)} needed, {need.governs} governs ({both})"


def _dead_end(failure: Failure) -> str:
    name, most = failure.parts[0]
    less = ", ".join(f"{mm(x)} {what}" for what, x in failure.parts[1:] if x)
    taken = f"{mm(most)} {name} less {less}" if less else f"{mm(most)} {name}"
    have = failure.have_mm
    offer = f"at most {mm(have)} of" if have is None or have > 0 else "no"
    return (
        f"The hole offers {offer} engaged thread ({taken}); "
        f"{mm(failure.need_mm)} are needed: {mm(failure.by_mm)} are missing."
    )


def _shank(failure: Failure) -> str:
    remedy = (
        f" {failure.twin} is threaded up to the head."
        if failure.twin
        else " A screw threaded up to the head would do."
    )
    return (
        f"{mm(failure.length_mm)} would be the length, but full thread may begin only "
        f"{mm(failure.have_mm)} below the head and must begin by "
        f"{mm(failure.need_mm)}: {mm(failure.by_mm)} too much shank.{remedy}"
    )


def _given(failure: Failure) -> str:
    length, by = mm(failure.length_mm), mm(failure.by_mm)
    match failure.reason:
        case "bottoms_out":
            return f"A length of {length} bottoms out: {by} too long for the hole."
        case "protrudes_too_far":
            return f"A length of {length} protrudes too far: {by} too long."
        case "too_little_engagement":
            return f"A length of {length} engages too little: {by} are missing."
    return f"{length} {miss_detail(Miss(failure.reason, failure.by_mm))}."


def _gap(failure: Failure) -> str:
    who = failure.standard or "The standard"
    if failure.window_mm is None:
        return f"{who} is not made in this thread."
    low, high = failure.window_mm
    between = f"from {mm(low)}" if high is None else f"from {mm(low)} to {mm(high)}"
    near = [
        f"the next {word} is {mm(length)}"
        for word, length in (
            ("shorter", failure.shorter_mm),
            ("longer", failure.longer_mm),
        )
        if length is not None
    ]
    return (
        f"{who} has no length {between}; {' and '.join(near)}. "
        f"The nearest misses by {mm(failure.by_mm)}."
    )


def _empty(failure: Failure) -> str:
    assert failure.window_mm is not None, "an empty window has two ends"
    low, high = failure.window_mm
    what = (
        "not to bottom out"
        if failure.reason == "bottoms_out"
        else "not to protrude too far"
    )
    return (
        f"A screw needs a nominal length of at least {mm(low)} to engage and at most "
        f"{mm(high)} {what}: {mm(failure.by_mm)} apart."
    )


def _stud(failure: Failure) -> str:
    end = "free end" if failure.at_nut else "set end"
    have, need = mm(failure.have_mm), mm(failure.need_mm)
    if failure.reason == "too_little_engagement" and failure.at_nut:
        said = f"reaches {have} at least and needs {need} for stack, nut and point"
    elif failure.reason == "too_little_engagement":
        said = f"engages {have} at least and needs {need}"
    else:
        said = f"comes to {have} at most and has room for {need}"
    return f"The stud's {end} {said}: {mm(failure.by_mm)} off."

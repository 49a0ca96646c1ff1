"""The family, the tree of options, and the rules."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from bomsvc.core.catalogue.entities import (
    Choice,
    Family,
    Option,
    Prefix,
    Rule,
    Under,
)
from bomsvc.core.catalogue.finder import Finder
from bomsvc.core.catalogue.forms.records import Values
from bomsvc.core.catalogue.names import check_unique, split_reference
from bomsvc.core.catalogue.reading import Place, circle
from bomsvc.core.terms.words import part_identity

_PREFIX_LENGTH = 10


def build_family(values: Values, finder: Finder) -> Family:
    """Return the family, its prefixes checked against the options."""
    serial: Values | None = values["serial"]
    prefixes = () if serial is None else _prefixes(serial, finder)
    if serial is not None and not serial["prefixes"]:
        values["serial"] = None
    return Family(
        code=values["code"],
        name=values["name"],
        maker=values["maker"],
        note=values["note"],
        series=dict(values["series"]),
        prefixes=prefixes,
    )


def _prefixes(serial: Values, finder: Finder) -> tuple[Prefix, ...]:
    found, seen = [], set()
    for text, choice in serial["prefixes"].items():
        place = serial.at("prefixes", text)
        _check_prefix(text, place, finder)
        identity = part_identity(text)
        if identity in seen:
            says = f'the prefix "{text}" is the same as another one but for its letters'
            finder.reading.report(place, "duplicate_code", says)
        seen.add(identity)
        under = _choice_of(choice, place, finder, owner_series=None)
        if under is not None:
            found.append(Prefix(text, under.option, under.choice))
    return tuple(found)


def _check_prefix(text: str, place: Place, finder: Finder) -> None:
    if not text:
        return
    wrong = len(text) > _PREFIX_LENGTH or " " in text or not text.isprintable()
    if wrong or text[-1].isdecimal():
        says = (
            f'"{text[:40]}" is not a prefix: 1 to {_PREFIX_LENGTH} characters without '
            "blanks, the last of them not a digit"
        )
        finder.reading.report(place, "bad_prefix", says)


def _choice_of(
    text: str, place: Place, finder: Finder, *, owner_series: str | None
) -> Under | None:
    """Return the choice named `option.choice` or `option[member].choice`."""
    if not text:
        return None
    code, member, choice = split_reference(text)
    option = finder.names.options.get(code)
    if option is None and "options" in finder.names.unreadable:
        return None
    if choice is None:
        says = f'"{text[:60]}" is not a choice; write option.choice, as in plant.north'
        finder.reading.report(place, "bad_reference", says)
        return None
    if option is None:
        says = f'there is no option "{code[:60]}"'
        known = finder.names.vocabulary.codes
        finder.reading.unknown(place, "unknown_option", code, says, known)
        return None
    if choice not in option.known:
        says = f'{code} has no choice "{choice[:60]}"'
        finder.reading.unknown(place, "unknown_choice", choice, says, option.choices)
    if member is not None:
        number = finder.member(code, member, option.each, place)
        return Under(code, choice, number)
    if option.each != owner_series and option.each in finder.names.series:
        says = f"{code} stands once for each {option.each}; which one: {code}[n]?"
        finder.reading.report(place, "which_member", says)
    return Under(code, choice)


def build_options(options: Iterable[Values], finder: Finder) -> tuple[Option, ...]:
    """Return the options; a circle by `under` is reported."""
    records = tuple(options)
    built = tuple(_option(values, finder) for values in records)
    above = {
        option.code: option.under.option for option in built if option.under is not None
    }
    report_circles(above, {v["code"]: v for v in records}, "under", finder)
    return built


def _option(values: Values, finder: Finder) -> Option:
    each = finder.each(values)
    check_unique(values["choices"], "code", finder.reading)
    if values["choose"] == "one" and not values["choices"] and values.sound:
        says = "an option with `choose: one` needs at least one choice"
        finder.reading.report(values.at("choices"), "empty_list", says)
    choices = tuple(_choice(choice, values, finder) for choice in values["choices"])
    under = None
    if values["under"] is not None:
        under = _choice_of(
            values["under"], values.at("under"), finder, owner_series=each
        )
    return Option(
        code=values["code"],
        label=values["label"],
        choices=choices,
        choose=values["choose"],
        under=under,
        each=each,
        known=values["known"],
        ask=values["ask"],
        usual=_usual(values, finder),
    )


def _choice(values: Values, option: Values, finder: Finder) -> Choice:
    band = values["band_mm"]
    if band is not None and values.sound:
        if band[0] > band[1]:
            says = "the band runs backwards; write [from, to] with from below to"
            finder.reading.report(values.at("band_mm"), "bad_band", says)
        if option["known"] != "measured" and option.sound:
            says = "only an option with `known: measured` has bands"
            finder.reading.report(values.at("band_mm"), "bad_band", says)
    return Choice(values["code"], values["label"], values["tell"], band)


def _usual(values: Values, finder: Finder) -> tuple[str, ...] | None:
    """The usual choices; None, also in the record, where they are the default."""
    usual = values["usual"]
    if usual is None or not values.sound:
        return None
    codes = tuple(choice["code"] for choice in values["choices"])
    if values["choose"] == "one" and not isinstance(usual, str):
        says = "`choose: one` has one usual choice; write its code, not a list"
        finder.reading.report(values.at("usual"), "wrong_type", says)
        return None
    if values["choose"] == "any" and isinstance(usual, str):
        says = f"`choose: any` has a list of usual choices; write [{usual}]"
        finder.reading.report(values.at("usual"), "wrong_type", says)
        return None
    chosen: tuple[str, ...] = (usual,) if isinstance(usual, str) else usual
    _check_usual(chosen, codes, values, finder)
    if chosen in ((), codes[:1]) and (values["choose"] == "one" or not chosen):
        values["usual"] = None
        return None
    return chosen


def _check_usual(
    chosen: tuple[str, ...], codes: tuple[str, ...], values: Values, finder: Finder
) -> None:
    known = frozenset(codes)
    for index, code in enumerate(chosen):
        place = values.at("usual")
        if values["choose"] == "any":
            place = values.at("usual", index)
        if code not in known:
            says = f'{values["code"]} has no choice "{code}"'
            finder.reading.unknown(place, "unknown_choice", code, says, codes)
    finder.check_codes_once(chosen, values, "usual")


def build_rule(values: Values, finder: Finder) -> Rule:
    """Return a rule with its conditions read."""
    each = finder.each(values)
    return Rule(
        code=values["code"],
        when=finder.condition(values, "when", each),
        then=finder.condition(values, "then", each),
        because=values["because"],
        each=each,
        strength=values["strength"],
    )


def report_circles(
    above: Mapping[str, str],
    records: Mapping[str, Values],
    name: str,
    finder: Finder,
) -> None:
    """Report every circle of items that hang from one another, once."""
    done: set[str] = set()
    for start in above:
        path: dict[str, None] = {}
        code = start
        while code in above and code not in done:
            if code in path:
                codes = list(path)
                names = circle(codes[codes.index(code) :])
                says = f"`{name}` goes round in a circle: {names}"
                finder.reading.report(records[code].at(name), f"{name}_circle", says)
                break
            path[code] = None
            code = above[code]
        done.update(path)

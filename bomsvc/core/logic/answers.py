"""Reading answers: every form of page "Logic" in, statements as literals out.

All problems are found at once, each with its pointer and the nearest known word.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence

from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.gates import negated
from bomsvc.core.logic.known import SOURCES, Entry, Known, Source
from bomsvc.core.logic.serial_answers import SerialMistake, read_serial
from bomsvc.core.logic.serials import SERIAL
from bomsvc.core.logic.standing import TRUE, Key, Lit
from bomsvc.core.logic.tree import StandingOption
from bomsvc.core.terms.pointers import join
from bomsvc.core.terms.problems import BadInput, Problem
from bomsvc.core.terms.words import nearest


def read_answers(
    compiled: Compiled,
    answers: Mapping[str, object],
    *,
    sources: Mapping[str, str] | None = None,
    waive: Sequence[str] = (),
) -> Known:
    """Read what is known of an engine.

    Args:
        compiled: The revision that the answers are about.
        answers: Option key -> answer. `one`: a choice, `{"not": [...]}` or
            `{"fitted": false}`; `any`: a list (exactly these) or a truth value
            per choice; serial: number, text or interval; any: `{"unseen": true}`.
        sources: Option key (or `option.choice`) -> how the answer is known.
        waive: Factory rules that this engine is known to break, by code or key.

    Raises:
        BadInput: With every problem, pointers from /answers, /sources, /waive.
    """
    reader = _AnswerReader(compiled)
    reader.read(answers, sources or {})
    waived = reader.read_waived(waive)
    if reader.problems:
        raise BadInput(reader.problems)
    return reader.known(waived)


class _AnswerReader:
    def __init__(self, compiled: Compiled) -> None:
        self.problems: list[Problem] = []
        self._compiled = compiled
        self._entries: dict[Key, list[Entry]] = {}
        self._unseen: set[Key] = set()
        self._serial: tuple[int, int] | None = None
        self._sources: dict[str, Source] = {}

    def known(self, waived: Iterable[Key]) -> Known:
        order = self._compiled.options
        entries = (entry for key in order for entry in self._entries.get(key, ()))
        return Known(
            tuple(entries), tuple(waived), frozenset(self._unseen), self._serial
        )

    def read(self, answers: Mapping[str, object], sources: Mapping[str, str]) -> None:
        self._read_sources(answers, sources)
        for key, value in answers.items():
            option = self._compiled.options.get(key)
            pointer = join("/answers", key)
            if option is None:
                self._unknown_option(pointer, key)
            elif value == {"unseen": True} and "unseen" not in option.choices:
                self._unseen.add(key)
            else:
                self._entries[key] = self._read_one(option, value, pointer)

    def read_waived(self, waive: Sequence[str]) -> list[Key]:
        asked: set[Key] = set()
        for index, word in enumerate(waive):
            asked.update(self._waivable(word, join("/waive", index)))
        return [key for key in self._compiled.rules if key in asked]

    # What can go wrong.

    def _problem(
        self, pointer: str, code: str, detail: str, remedy: str | None = None
    ) -> None:
        self.problems.append(Problem(pointer, detail, code, remedy=remedy))

    def _unknown_option(self, pointer: str, key: str) -> None:
        options = self._compiled.options
        members = [k for k, o in options.items() if o.option.code == key]
        if members:
            self._problem(
                pointer,
                "member_missing",
                f"'{key}' stands once per member: say which, "
                f"{members[0]} to {members[-1]}.",
                members[0],
            )
            return
        near = nearest(key, options)
        hint = f" Nearest: '{near}'." if near else ""
        self._problem(
            pointer, "option_unknown", f"No option '{key}' in this family.{hint}", near
        )

    def _unknown_choice(self, pointer: str, option: StandingOption, word: str) -> None:
        near = nearest(word, option.choices)
        known = ", ".join(option.choices)
        hint = f" Nearest: '{near}'." if near else ""
        self._problem(
            pointer,
            "choice_unknown",
            f"'{option.key}' has no choice '{word}'; it has {known}.{hint}",
            near,
        )

    def _read_sources(
        self, answers: Mapping[str, object], sources: Mapping[str, str]
    ) -> None:
        known = {str(source): source for source in SOURCES}
        for name, word in sources.items():
            pointer = join("/sources", name)
            if name not in answers and name.rpartition(".")[0] not in answers:
                self._problem(
                    pointer,
                    "source_unused",
                    f"There is no answer '{name}' for this source.",
                    nearest(name, answers),
                )
            elif word in known:
                self._sources[name] = known[word]
            else:
                words = ", ".join(SOURCES)
                self._problem(
                    pointer,
                    "source_unknown",
                    f"'{word}' is not a source; they are {words}.",
                    nearest(str(word), SOURCES),
                )

    def _waivable(self, word: str, pointer: str) -> list[Key]:
        rules = self._compiled.rules
        keys = [k for k, r in rules.items() if word in (k, r.rule.code)]
        if not keys:
            near = nearest(word, rules)
            hint = f" Nearest: '{near}'." if near else ""
            self._problem(pointer, "rule_unknown", f"No rule '{word}'.{hint}", near)
        elif rules[keys[0]].rule.strength == "physical":
            self._problem(
                pointer,
                "rule_physical",
                f"'{word}' is physical and cannot be waived: "
                f"{rules[keys[0]].rule.because}",
            )
            return []
        return keys

    # The answer forms.

    def _read_one(
        self, option: StandingOption, value: object, pointer: str
    ) -> list[Entry]:
        if option.key == SERIAL:
            return self._read_serial(option, value, pointer)
        if option.option.choose == "any":
            return self._read_any(option, value, pointer)
        lits = self._read_single(option, value, pointer)
        return [self._entry(option.key, option.key, lits, value)] if lits else []

    def _entry(self, name: str, key: Key, lits: Iterable[Lit], typed: object) -> Entry:
        source = self._sources.get(name, self._sources.get(key))
        return Entry(name, key, tuple(lits), source, typed)

    def _read_single(
        self, option: StandingOption, value: object, pointer: str
    ) -> list[Lit]:
        match value:
            case str():
                return self._choices(option, [value], pointer)
            case {"not": [*words], **rest} if not rest:
                place = join(pointer, "not")
                pointers = [join(place, index) for index in range(len(words))]
                return [negated(x) for x in self._listed(option, words, pointers)]
            case {"fitted": bool() as fitted, **rest} if not rest:
                return _fitted(option, fitted=fitted)
        self._problem(
            pointer,
            "answer_form",
            f"The answer to '{option.key}' is one of its choices "
            f"({', '.join(option.choices)}), "
            '{"not": [choices]}, {"fitted": false} or {"unseen": true}.',
        )
        return []

    def _read_any(
        self, option: StandingOption, value: object, pointer: str
    ) -> list[Entry]:
        match value:
            case list() | tuple():
                return self._exactly(option, value, pointer)
            case {"fitted": bool() as fitted, **rest} if not (
                rest or "fitted" in option.choices
            ):
                lits = _fitted(option, fitted=fitted)
                return [self._entry(option.key, option.key, lits, value)]
            case Mapping() if value:
                return self._each_choice(option, value, pointer)
        self._problem(
            pointer,
            "answer_form",
            f"The answer to '{option.key}' is a list of what is there "
            f"({', '.join(option.choices)}), a truth value for some of them, "
            '{"fitted": false} or {"unseen": true}.',
        )
        return []

    def _exactly(
        self, option: StandingOption, words: Sequence[object], pointer: str
    ) -> list[Entry]:
        pointers = [join(pointer, index) for index in range(len(words))]
        chosen = set(self._listed(option, words, pointers))
        return [
            self._entry(
                f"{option.key}.{code}",
                option.key,
                [lit if lit in chosen else negated(lit)],
                lit in chosen,
            )
            for code, lit in option.choices.items()
        ]

    def _each_choice(
        self, option: StandingOption, value: Mapping[str, object], pointer: str
    ) -> list[Entry]:
        entries = []
        for word, there in value.items():
            place = join(pointer, word)
            lits = self._choices(option, [word], place)
            if not isinstance(there, bool):
                self._problem(
                    place, "answer_form", f"'{word}' is there (true) or not (false)."
                )
            elif lits:
                lit = lits[0] if there else negated(lits[0])
                name = f"{option.key}.{word}"
                entries.append(self._entry(name, option.key, [lit], there))
        order = list(option.choices)
        return sorted(entries, key=lambda e: order.index(e.name.rpartition(".")[2]))

    def _choices(
        self, option: StandingOption, words: Sequence[str], pointer: str
    ) -> list[Lit]:
        return self._listed(option, words, [pointer] * len(words))

    def _listed(
        self, option: StandingOption, words: Sequence[object], pointers: Sequence[str]
    ) -> list[Lit]:
        lits = []
        for word, pointer in zip(words, pointers, strict=True):
            lit = option.choices.get(word) if isinstance(word, str) else None
            if lit is None:
                self._unknown_choice(pointer, option, str(word))
            else:
                lits.append(lit)
        return lits

    def _read_serial(
        self, option: StandingOption, value: object, pointer: str
    ) -> list[Entry]:
        prefixes = {p.text: p for p in self._compiled.catalogue.family.prefixes}
        try:
            answer = read_serial(value, prefixes)
        except SerialMistake as mistake:
            self._problem(pointer, "serial_form", str(mistake), mistake.remedy)
            return []
        lits = self._serial_literals(answer.first, answer.last)
        if answer.prefix is not None:
            prefix = answer.prefix
            lits.append(self._compiled.options[prefix.option].choices[prefix.choice])
        self._serial = (answer.first, answer.last)
        return [self._entry(option.key, option.key, lits, value)]

    def _serial_literals(self, first: int, last: int) -> list[Lit]:
        intervals = self._compiled.intervals
        firsts = [interval.first for interval in intervals]
        low, high = bisect_right(firsts, first) - 1, bisect_right(firsts, last) - 1
        if low == high:
            return [self._compiled.options[SERIAL].choices[intervals[low].code]]
        thresholds = self._compiled.thresholds
        ends = [thresholds[low]]
        if high + 1 < len(thresholds):
            ends.append(negated(thresholds[high + 1]))
        return ends


def _fitted(option: StandingOption, *, fitted: bool) -> list[Lit]:
    """Return what (not) being there says; of an option always there, "yes" nothing."""
    if option.active == TRUE and fitted:
        return []
    return [option.active if fitted else negated(option.active)]

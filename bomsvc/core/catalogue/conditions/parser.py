"""From a condition's text to its meaning, by recursive descent.

Each function's docstring is its line of the grammar. Nesting is limited, so depth
of calls is too. Unknown words do not stop the parser: all of them are reported.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NoReturn, cast

from bomsvc.core.catalogue.conditions.lexer import (
    END,
    MAX_BYTES,
    is_number,
    is_word,
    span,
    tokens,
)
from bomsvc.core.catalogue.conditions.printer import print_condition
from bomsvc.core.catalogue.conditions.tree import (
    ALWAYS,
    NEVER,
    Among,
    And,
    Comparison,
    Condition,
    Member,
    MemberIs,
    Not,
    Or,
    SerialIs,
    unlike,
)
from bomsvc.core.catalogue.conditions.vocabulary import (
    ConditionError,
    OptionWords,
    Vocabulary,
)
from bomsvc.core.terms.words import nearest

MAX_NESTING = 64
"""Deepest nesting of parentheses and `not` (the document format)."""
LAST_SERIAL = 999_999_999
"""Serials are whole numbers from 1 to this (the document format)."""

ANY_OWNER = "*"
"""As `owner_series`: the owner is not known, so any series may be its own."""

_COMPARISONS = frozenset(("<", "<=", ">", ">=", "=", "!="))
_KEYWORDS = frozenset(("and", "or", "not", "in", "always", "never"))
_LISTED = 8
"""Up to so many known words are listed where none is near."""
_MAX_DIGITS = 9


Suggest = Callable[[str, tuple[str, ...]], str | None]
"""Finds the nearest of the known words."""


def parse_condition(
    text: str, vocabulary: Vocabulary, *, owner_series: str | None
) -> Condition:
    """Return what `text` says.

    Args:
        text: The condition.
        vocabulary: Options, choices and series of the family.
        owner_series: The `each` of the item that holds the condition: a bare name
            of an option with the same `each` means the same member.

    Raises:
        ConditionError: The first thing wrong; its text underlines the spot.
    """
    read = read_condition(text, vocabulary, owner_series=owner_series)
    if isinstance(read, tuple):
        raise read[0]
    return read


def read_condition(
    text: str,
    vocabulary: Vocabulary,
    *,
    owner_series: str | None,
    suggest: Suggest = nearest,
) -> Condition | tuple[ConditionError, ...]:
    """Return what `text` says, or everything that is wrong with it.

    Arguments as `parse_condition`; `suggest` finds the nearest known word. Wrong
    grammar ends the reading; unknown words do not, so there may be several errors.
    """
    try:
        parser = _Parser(text, vocabulary, owner_series, suggest)
        condition = parser.whole()
    except ConditionError as error:
        return (error,)
    except _GrammarError as stop:
        return stop.errors
    return tuple(parser.errors) or condition


class _GrammarError(Exception):
    """The grammar is broken here; carries all errors found so far."""

    def __init__(self, errors: tuple[ConditionError, ...]) -> None:
        self.errors = errors
        super().__init__()


class _Parser:
    """The reading of one text. `next` is the next token, `index` its number."""

    def __init__(
        self,
        text: str,
        vocabulary: Vocabulary,
        owner_series: str | None,
        suggest: Suggest,
    ) -> None:
        self.text = text
        self.suggest = suggest
        self.tokens = tokens(text)
        self.vocabulary = vocabulary
        self.owner_series = owner_series
        self.index = 0
        self.next = self.tokens[0]
        self.nesting = 0
        self.errors: list[ConditionError] = []

    def whole(self) -> Condition:
        """Whole := condition end."""
        condition = self.condition()
        if self.next != END:
            self.stop(self._after_condition())
        self.check_length(condition)
        return condition

    def condition(self) -> Condition:
        """Condition := conjunction ("or" conjunction)*."""
        term = self.conjunction()
        if self.next != "or":
            return term
        terms = [term]
        while self.accept("or"):
            terms.append(self.conjunction())
        return _joined(Or, terms)

    def conjunction(self) -> Condition:
        """Conjunction := negation ("and" negation)*."""
        term = self.negation()
        if self.next != "and":
            return term
        terms = [term]
        while self.accept("and"):
            terms.append(self.negation())
        return _joined(And, terms)

    def negation(self) -> Condition:
        """Negation := "not" negation | statement."""
        if self.next != "not":
            return self.statement()
        self.descend()
        term = self.negation()
        self.nesting -= 1
        return Not(term)

    def statement(self) -> Condition:
        """Statement := "(" condition ")" | "always" | "never" | comparison."""
        if self.next == "(":
            self.descend()
            condition = self.condition()
            self.expect(")", "a ) is due")
            self.nesting -= 1
            return condition
        if self.accept("always"):
            return ALWAYS
        if self.accept("never"):
            return NEVER
        return self.comparison()

    def comparison(self) -> Condition:
        """Comparison := "serial" sign number | series sign number | choosing."""
        word = self.next
        if not is_word(word) or word in _KEYWORDS:
            self.stop("an option is due here, as in: sump = rear")
        if self.accept("serial"):
            return SerialIs(self.sign(), self.serial())
        if word in self.vocabulary.series:
            return self.member_is(word)
        return self.choosing(word)

    def member_is(self, series: str) -> Condition:
        """Series sign number, only inside an item of that series."""
        if self.owner_series not in (series, ANY_OWNER):
            self.wrong(
                self.index,
                f"{series} is a number only in an item with `each: {series}`"
                + self._own_series(),
            )
        self.take()
        return MemberIs(series, self.sign(), self.number())

    def choosing(self, code: str) -> Condition:
        """Choosing := option member? (("=" | "!=") choice | among).

        `o[any] != c` speaks of some member, `o[all] != c` of every one.
        """
        at = self.index
        option = self.option(code)
        member = self.member(code, option, at)
        if self.accept("="):
            return Among(code, (self.choice(code, option),), member)
        if self.accept("in"):
            return Among(code, self.among(code, option), member)
        if self.accept("!="):
            return unlike(code, self.choice(code, option), member)
        return self.stop(self._after_option(code))

    def among(self, code: str, option: OptionWords | None) -> tuple[str, ...]:
        """Among := "in" "(" choice ("," choice)* ")"."""
        self.expect("(", f"choices are due in parentheses, as in: {code} in (a, b)")
        choices = [self.choice(code, option)]
        while self.accept(","):
            choices.append(self.choice(code, option))
        self.expect(")", "a , or ) is due")
        return tuple(dict.fromkeys(choices))

    def member(self, code: str, option: OptionWords | None, at: int) -> Member:
        """Member := "[" (number | "all" | "any") "]"."""
        if self.next != "[":
            self.check_bare(code, option, at)
            return None
        self.take()
        text, where = self.next, self.index
        if text in ("all", "any"):
            member: Member = "all" if text == "all" else "any"
        elif is_number(text) and len(text) <= _MAX_DIGITS:
            member = int(text)
        else:
            self.stop("a member's number, all or any is due, as in: [4]")
        self.take()
        self.expect("]", "a ] is due")
        if option is not None:
            self.check_member(code, option, member, where)
        return member

    def option(self, code: str) -> OptionWords | None:
        """An option's code; None where it is unknown, which is noted."""
        option = self.vocabulary.options.get(code)
        if option is None:
            known = self.vocabulary.codes
            self.unknown(self.index, f"there is no option {code}", code, known)
        self.take()
        return option

    def choice(self, code: str, option: OptionWords | None) -> str:
        """A choice's code."""
        choice = self.next
        if not is_word(choice) and not is_number(choice):
            doubled = "; write = once" if choice == "=" else ""
            self.stop(f"a choice of {code} is due here{doubled}")
        if option is not None and choice not in option.known:
            says = f"{code} has no choice {choice}"
            self.unknown(self.index, says, choice, option.choices)
        return self.take()

    def sign(self) -> Comparison:
        """Sign := "<" | "<=" | ">" | ">=" | "=" | "!="."""
        if self.next not in _COMPARISONS:
            self.stop("one of < <= > >= = != is due here")
        return cast("Comparison", self.take())

    def serial(self) -> int:
        """A serial: a whole number from 1 to 999,999,999."""
        where = self.index
        number = self.number()
        if not 1 <= number <= LAST_SERIAL:
            self.wrong(where, "a serial is a whole number from 1 to 999,999,999")
        return number

    def number(self) -> int:
        """A whole number without a sign."""
        text = self.next
        if not is_number(text):
            self.stop("a whole number is due here")
        if len(text.lstrip("0")) > _MAX_DIGITS:
            self.wrong(self.index, "this number is too long; at most 9 digits are read")
            text = "1"
        self.take()
        return int(text)

    def check_bare(self, code: str, option: OptionWords | None, at: int) -> None:
        """Without a member the owner's own is meant; refuse where it has none."""
        if option is None or self.owner_series in (option.each, ANY_OWNER):
            return
        if option.each in self.vocabulary.series:
            self.wrong(
                at,
                f"{code} stands once for each {option.each}; which one: "
                f"{code}[n], {code}[all] or {code}[any]?",
            )

    def check_member(
        self, code: str, option: OptionWords, member: Member, where: int
    ) -> None:
        """Refuse a member of an option that has none, or that does not exist."""
        if option.each is None:
            self.wrong(where, f"{code} stands only once; leave out [{member}]")
        elif isinstance(member, int) and option.each in self.vocabulary.series:
            last = self.vocabulary.series[option.each]
            if not 1 <= member <= last:
                self.wrong(where, f"{option.each} goes from 1 to {last}")

    def check_length(self, condition: Condition) -> None:
        """Refuse what is over the limit once it is printed with its blanks."""
        if len(self.text) <= MAX_BYTES // 2:
            return  # Printing adds less than it finds.
        if (size := len(print_condition(condition))) > MAX_BYTES:
            says = (
                f"the condition, printed with its blanks, has {size:,} bytes; "
                f"at most {MAX_BYTES:,} are read"
            )
            self.wrong(0, says)

    def take(self) -> str:
        """Return the next token, which is not the end, and go beyond it."""
        taken = self.next
        self.index += 1
        self.next = self.tokens[self.index]
        return taken

    def accept(self, text: str) -> bool:
        if self.next != text:
            return False
        self.take()
        return True

    def expect(self, text: str, message: str) -> None:
        if not self.accept(text):
            self.stop(message)

    def descend(self) -> None:
        """Go beyond a "(" or "not", one level deeper."""
        self.nesting += 1
        if self.nesting > MAX_NESTING:
            self.stop(f"the nesting is deeper than {MAX_NESTING}")
        self.take()

    def stop(self, message: str) -> NoReturn:
        """End the reading at the next token."""
        self.wrong(self.index, message)
        raise _GrammarError(tuple(self.errors))

    def wrong(self, index: int, message: str, remedy: str | None = None) -> None:
        start, end = span(self.text, index)
        self.errors.append(
            ConditionError(message, start, end, text=self.text, remedy=remedy)
        )

    def unknown(
        self, index: int, message: str, word: str, known: tuple[str, ...]
    ) -> None:
        near = self.suggest(word, known)
        if near is not None:
            message += f"; the nearest is {near}"
        elif 0 < len(known) <= _LISTED:
            message += f"; known: {', '.join(known)}"
        self.wrong(index, message, near)

    def _own_series(self) -> str:
        if self.owner_series is None:
            return "; this one stands only once"
        return f"; here it is {self.owner_series}"

    def _after_option(self, code: str) -> str:
        if self.next == "not":
            return f"write: not {code} in (...)"
        if self.next in ("<", "<=", ">", ">="):
            return f"{self.next} compares only serial and the item's own series"
        return "= or != or in (...) is due here"

    def _after_condition(self) -> str:
        if is_word(self.next) and self.next not in _KEYWORDS:
            return "and or or is due before the next option"
        return "and, or, or the end is due here"


def _joined(kind: type[And] | type[Or], terms: list[Condition]) -> Condition:
    """Several terms as one flat `And` or `Or`."""
    flat: list[Condition] = []
    for term in terms:
        if isinstance(term, kind):
            flat.extend(term.terms)
        else:
            flat.append(term)
    return kind(tuple(flat))

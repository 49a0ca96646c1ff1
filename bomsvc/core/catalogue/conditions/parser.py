"""From a condition's text to its meaning, by recursive descent.

Each function's docstring is its line of the grammar. Nesting is limited, so depth
of calls is too. Unknown words do not stop the parser: all of them are reported.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NoReturn, cast

from bomsvc.core.catalogue.conditions.lexer import MAX_BYTES, Token, tokens
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

_COMPARISONS = frozenset(("<", "<=", ">", ">=", "=", "!="))
_KEYWORDS = frozenset(("and", "or", "not", "in", "always", "never"))
_LISTED = 8
"""Up to so many known words are listed where none is near."""
_MAX_DIGITS = 9


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
    text: str, vocabulary: Vocabulary, *, owner_series: str | None
) -> Condition | tuple[ConditionError, ...]:
    """Return what `text` says, or everything that is wrong with it.

    Arguments as `parse_condition`. Wrong grammar ends the reading; unknown words
    do not, so there may be several errors.
    """
    try:
        parser = _Parser(text, tokens(text), vocabulary, owner_series)
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


@dataclass(slots=True)
class _Parser:
    text: str
    tokens: list[Token]
    vocabulary: Vocabulary
    owner_series: str | None
    index: int = 0
    nesting: int = 0
    errors: list[ConditionError] = field(default_factory=list)

    def whole(self) -> Condition:
        """Whole := condition end."""
        condition = self.condition()
        if self.next.kind != "end":
            self.stop(self._after_condition())
        self.check_length(condition)
        return condition

    def check_length(self, condition: Condition) -> None:
        """Refuse what is over the limit once it is printed with its blanks.

        Printing adds less than it finds, so only long texts need looking at.
        """
        if len(self.text) <= MAX_BYTES // 2:
            return
        size = len(print_condition(condition))
        if size > MAX_BYTES:
            self.wrong(
                self.tokens[0],
                f"the condition, printed with its blanks, has {size:,} bytes; "
                f"at most {MAX_BYTES:,} are read",
            )

    def condition(self) -> Condition:
        """Condition := conjunction ("or" conjunction)*."""
        terms = [self.conjunction()]
        while self.accept("or"):
            terms.append(self.conjunction())
        return _joined(Or, terms)

    def conjunction(self) -> Condition:
        """Conjunction := negation ("and" negation)*."""
        terms = [self.negation()]
        while self.accept("and"):
            terms.append(self.negation())
        return _joined(And, terms)

    def negation(self) -> Condition:
        """Negation := "not" negation | statement."""
        if not self.accept("not"):
            return self.statement()
        self.descend()
        term = self.negation()
        self.nesting -= 1
        return Not(term)

    def statement(self) -> Condition:
        """Statement := "(" condition ")" | "always" | "never" | comparison."""
        if self.accept("("):
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
        if word.kind != "word" or word.text in _KEYWORDS:
            self.stop("an option is due here, as in: sump = rear")
        if word.text == "serial":
            self.index += 1
            return SerialIs(self.sign(), self.serial())
        if word.text in self.vocabulary.series:
            self.index += 1
            return self.member_is(word)
        return self.choosing()

    def member_is(self, word: Token) -> Condition:
        """Series comparison, only inside an item of that series."""
        comparison, number = self.sign(), self.number()
        if word.text != self.owner_series:
            self.wrong(
                word,
                f"{word.text} is a number only in an item with `each: {word.text}`"
                + self._own_series(),
            )
        return MemberIs(word.text, comparison, number)

    def choosing(self) -> Condition:
        """Choosing := option member? (("=" | "!=") choice | among)."""
        word = self.take()
        option = self.option(word)
        member = self.member(word, option)
        if self.accept("in"):
            return Among(word.text, self.among(word, option), member)
        if self.accept("="):
            return Among(word.text, (self.choice(word, option),), member)
        if self.accept("!="):
            return Not(Among(word.text, (self.choice(word, option),), member))
        return self.stop(self._after_option(word))

    def among(self, word: Token, option: OptionWords | None) -> tuple[str, ...]:
        """Among := "in" "(" choice ("," choice)* ")"."""
        self.expect(
            "(", f"choices are due in parentheses, as in: {word.text} in (a, b)"
        )
        choices = [self.choice(word, option)]
        while self.accept(","):
            choices.append(self.choice(word, option))
        self.expect(")", "a , or ) is due")
        return tuple(dict.fromkeys(choices))

    def member(self, word: Token, option: OptionWords | None) -> Member:
        """Member := "[" (number | "all" | "any") "]"."""
        if not self.accept("["):
            self.check_bare(word, option)
            return None
        token = self.take()
        if token.text in ("all", "any"):
            member: Member = "all" if token.text == "all" else "any"
        elif token.kind == "number" and len(token.text) <= _MAX_DIGITS:
            member = int(token.text)
        else:
            self.index -= 1
            self.stop("a member's number, all or any is due, as in: [4]")
        self.expect("]", "a ] is due")
        if option is not None:
            self.check_member(word, token, option, member)
        return member

    def check_bare(self, word: Token, option: OptionWords | None) -> None:
        """Without a member the owner's own is meant; refuse where it has none."""
        if option is not None and option.each not in (None, self.owner_series):
            self.wrong(
                word,
                f"{word.text} stands once for each {option.each}; which one: "
                f"{word.text}[n], {word.text}[all] or {word.text}[any]?",
            )

    def check_member(
        self, word: Token, token: Token, option: OptionWords, member: Member
    ) -> None:
        """Refuse a member of an option that has none, or that does not exist."""
        if option.each is None:
            self.wrong(token, f"{word.text} stands only once; leave out [{token.text}]")
        elif isinstance(member, int):
            last = self.vocabulary.series.get(option.each, 0)
            if not 1 <= member <= last:
                self.wrong(token, f"{option.each} goes from 1 to {last}")

    def option(self, word: Token) -> OptionWords | None:
        """An option's code; None where it is unknown, which is noted."""
        option = self.vocabulary.options.get(word.text)
        if option is None:
            self.unknown(
                word,
                f"there is no option {word.text}",
                list(self.vocabulary.options),
            )
        return option

    def choice(self, word: Token, option: OptionWords | None) -> str:
        """A choice's code."""
        token = self.next
        if token.kind not in ("word", "number"):
            self.stop(f"a choice of {word.text} is due here")
        self.index += 1
        if option is not None and token.text not in option.choices:
            self.unknown(
                token, f"{word.text} has no choice {token.text}", option.choices
            )
        return token.text

    def sign(self) -> Comparison:
        """Sign := "<" | "<=" | ">" | ">=" | "=" | "!="."""
        if self.next.text not in _COMPARISONS:
            self.stop("one of < <= > >= = != is due here")
        return cast("Comparison", self.take().text)

    def serial(self) -> int:
        """A serial: a whole number from 1 to 999,999,999."""
        token = self.next
        number = self.number()
        if not 1 <= number <= LAST_SERIAL:
            self.wrong(token, "a serial is a whole number from 1 to 999,999,999")
        return number

    def number(self) -> int:
        """A whole number without a sign."""
        token = self.next
        if token.kind != "number":
            self.stop("a whole number is due here")
        self.index += 1
        if len(token.text.lstrip("0")) > _MAX_DIGITS:
            self.wrong(token, "this number is too long; at most 9 digits are read")
            return 0
        return int(token.text)

    @property
    def next(self) -> Token:
        return self.tokens[self.index]

    def take(self) -> Token:
        token = self.next
        if token.kind != "end":
            self.index += 1
        return token

    def accept(self, text: str) -> bool:
        if self.next.text != text:
            return False
        self.index += 1
        return True

    def expect(self, text: str, message: str) -> None:
        if not self.accept(text):
            self.stop(message)

    def descend(self) -> None:
        self.nesting += 1
        if self.nesting > MAX_NESTING:
            self.index -= 1
            self.stop(f"the nesting is deeper than {MAX_NESTING}")

    def stop(self, message: str) -> NoReturn:
        """End the reading at the next token."""
        self.wrong(self.next, message)
        raise _GrammarError(tuple(self.errors))

    def wrong(self, token: Token, message: str, remedy: str | None = None) -> None:
        self.errors.append(
            ConditionError(
                message, token.start, token.end, text=self.text, remedy=remedy
            )
        )

    def unknown(
        self, token: Token, message: str, known: list[str] | tuple[str, ...]
    ) -> None:
        near = nearest(token.text, known)
        if near is not None:
            message += f"; the nearest is {near}"
        elif 0 < len(known) <= _LISTED:
            message += f"; known: {', '.join(known)}"
        self.wrong(token, message, near)

    def _own_series(self) -> str:
        if self.owner_series is None:
            return "; this one stands only once"
        return f"; here it is {self.owner_series}"

    def _after_option(self, word: Token) -> str:
        text = self.next.text
        if text == "not":
            return f"write: not {word.text} in (...)"
        if text in ("<", "<=", ">", ">="):
            return f"{text} compares only serial and the item's own series"
        return "= or != or in (...) is due here"

    def _after_condition(self) -> str:
        if self.next.text in ("=", "!=", "in", "["):
            return "and or or is due before the next option"
        return "and, or, or the end is due here"


def _joined(kind: type[And] | type[Or], terms: list[Condition]) -> Condition:
    """One term as it is; several as one flat `And` or `Or`."""
    if len(terms) == 1:
        return terms[0]
    flat: list[Condition] = []
    for term in terms:
        flat.extend(term.terms if isinstance(term, kind) else (term,))
    return kind(tuple(flat))

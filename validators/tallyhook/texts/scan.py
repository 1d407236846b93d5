"""A text under reading: its tokens, and which of them have been read.

Every reader works on the same tokens and claims what it has read; no piece of text is read twice.
"""

from __future__ import annotations

from dataclasses import dataclass

from tallyhook.vocabulary.context import words_for
from tallyhook.vocabulary.denials import Denials
from tallyhook.vocabulary.lexicon import Phrases
from tallyhook.vocabulary.tokens import MARK, NUMBER, WORD, one_mark, phrase_words, tokens_of

__all__ = ["LONGEST", "Context", "Scan"]

LONGEST = 1000
"""Characters of one text that are read; an item's description is far shorter."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Context:
    """What the rest of the list says about how its texts are to be read.

    Attributes
    ----------
    decimal : str or None
        The decimal mark of the list, ``,`` or ``.``; None when nobody knows.
    system : str or None
        ``us`` for a list in inches and pounds, ``metric`` for one in mm, kg and t.
    """

    decimal: str | None = None
    system: str | None = None


class Scan:
    """The tokens of one text, its words for phrase matching, and what has been claimed.

    ``words`` are the folded words and numbers with an empty string wherever a phrase may not
    go on (comma, bracket, colon); ``where`` gives the token of each and ``place`` the reverse.
    """

    __slots__ = ("_denials", "context", "place", "text", "tokens", "used", "where", "words")

    def __init__(self, text: str, context: Context) -> None:
        self.context = context
        self.text = one_mark(text[:LONGEST])
        self.tokens = tokens_of(self.text)
        self.used = bytearray(len(self.tokens))
        self.words, self.where = phrase_words(self.tokens)
        self._denials: Denials | None = None
        self.place = {token: word for word, token in enumerate(self.where)}

    @property
    def denials(self) -> Denials:
        """The words of denial of the text, looked for when they are first asked for."""
        if self._denials is None:
            self._denials = Denials(self.tokens)
        return self._denials

    def adjacent(self, i: int) -> bool:
        """Tell whether token `i` follows the one before it without a space."""
        return 0 < i < len(self.tokens) and self.tokens[i].start == self.tokens[i - 1].end

    def means(self, i: int, *uses: str) -> bool:
        """Tell whether token `i` is a word of these uses (`words_for`)."""
        return self.folded(i) in words_for(*uses)

    def ends(self, i: int, phrases: Phrases) -> bool:
        """Tell whether one of some phrases ends right before token `i`."""
        last = self.place.get(i - 1)
        if last is None:
            return False
        hits = (phrases.at(self.words, k) for k in range(max(0, last - 2), last + 1))
        return any(hit is not None and hit.end == last + 1 for hit in hits)

    def is_mark(self, i: int, marks: str) -> bool:
        """Tell whether token `i` exists and is one of these marks."""
        return (
            0 <= i < len(self.tokens)
            and self.tokens[i].kind == MARK
            and self.tokens[i].text in marks
        )

    def is_number(self, i: int) -> bool:
        """Tell whether token `i` exists and is a number."""
        return 0 <= i < len(self.tokens) and self.tokens[i].kind == NUMBER

    def folded(self, i: int) -> str:
        """Give the folded word of token `i`, or nothing past the ends."""
        return self.tokens[i].fold if 0 <= i < len(self.tokens) else ""

    def claim(self, start: int, end: int) -> None:
        """Mark tokens as read."""
        for i in range(start, end):
            self.used[i] = 1

    def is_used(self, start: int, end: int) -> bool:
        """Tell whether any of the tokens has been read."""
        return 1 in self.used[start:end]

    def cut(self, start: int, end: int) -> str:
        """Give the text of tokens `start` to `end` (without `end`)."""
        return self.text[self.tokens[start].start : self.tokens[end - 1].end]

    def stands_free(self, start: int, end: int) -> bool:
        """Tell whether tokens are not part of a longer run such as an item code."""
        return self.free_before(start) and self.free_after(end)

    def free_before(self, i: int) -> bool:
        """Tell whether nothing that is not read is joined to token `i` from the left."""
        if not self.adjacent(i) or self.used[i - 1]:
            return True
        before = self.tokens[i - 1]
        if before.kind != MARK:
            return before.fold in words_for("by", "diameter")
        if before.text not in "-/_.#*+\\$€£'\"":
            return True
        if before.text not in "-/":
            return before.text == '"'
        # a dash after a space, or after something read, joins nothing
        return i == 1 or not self.adjacent(i - 1) or bool(self.used[i - 2])

    def free_after(self, i: int) -> bool:
        """Tell whether nothing that is not read is joined to the token before `i`."""
        if not self.adjacent(i) or self.used[i]:
            return True
        after = self.tokens[i]
        if after.kind != MARK:
            return after.fold in words_for("by")
        if after.text not in "-/_\\%'":
            return True
        if after.text not in "-/" or i + 1 >= len(self.tokens) or not self.adjacent(i + 1):
            return after.text in "-/"
        return bool(self.used[i + 1]) or (
            self.tokens[i + 1].kind == WORD and not (self.is_number(i + 2) and self.adjacent(i + 2))
        )

"""No word that a parent would object to, alone or with one letter wrong.

Source: the English list of the package glin-profanity (MIT), and a few milder words of our own beside it.
"""

from __future__ import annotations

from string import ascii_lowercase

from glin_profanity.data.dictionary import dictionary

from trainer.wordbank import shipped_words

OBJECTIONABLE = {word for word in dictionary.get_words("english") if word.isalpha() and word.islower()} | {
    *("bum", "crap", "damn", "drunk", "dumb", "fart", "hell", "kill", "piss", "poop"),
}
HARSH = {"die", "dead", "fat", "gun", "hate", "shoot", "shut", "spit", "stab", "ugly", "war", "whip", "wine"}
"""Words that are in no filter, and that are not for these lists either."""

WORDS = {word.text for word in shipped_words().words}

MILD = "rude or harsh, and not obscene: heard in playgrounds, and no reason to do without the words beside it"
NOT_A_WORD = "an abbreviation or a spelling of the network, which no child or parent reads as a word"
OTHER_SENSE = "it has a sense that nobody objects to: a donkey, boy or girl, a way of singing"
SHIP = "a harbor town has ships and white sails, and sh is taught with ship"
UNKNOWN = "a word that children of 4 to 7 do not know, beside words that they cannot do without"

REASONS = {
    MILD: "boob bum crap damn drunk dumb fart hell kill nude piss poop suck tit wank",
    NOT_A_WORD: "bs fuk fuq mf",
    OTHER_SENSE: "ass sex scat",
    SHIP: "shit shite",
    UNKNOWN: "coon cum felch grope hoe jizz kike milf nipple poof poon porn queef quim rape simp skeet twat "
    "twink",
}
NEAR = {word: reason for reason, words in REASONS.items() for word in words.split()}
"""What a word may become by one wrong letter, and why that is borne. The letter is then in a child's own
ink: the program shows the word that was meant and never the one that was written."""


def one_letter_wrong(word: str) -> set[str]:
    """All that a word becomes when another letter stands in the place of one."""
    return {
        word[:place] + letter + word[place + 1 :] for place in range(len(word)) for letter in ascii_lowercase
    } - {word}


def test_no_word_is_one_that_a_parent_would_object_to() -> None:
    assert len(OBJECTIONABLE) > 250
    assert not WORDS & (OBJECTIONABLE | HARSH)


def test_no_word_becomes_one_by_a_wrong_letter_unless_it_is_borne_for_a_reason() -> None:
    near = {wrong for word in WORDS for wrong in one_letter_wrong(word) & OBJECTIONABLE}
    assert near == NEAR.keys(), (near - NEAR.keys(), NEAR.keys() - near)

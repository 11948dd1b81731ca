"""What a group can be offered: exactly what it can write; rhymes, the odd one out, chains."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from tests.cases import for_each
from trainer.wordbank import EXCEPTIONS, LETTERS, Taught, Word, WordBank, by_sound, shipped_words, spelled

BANK = WordBank(shipped_words())
LETTER_NAMES = "abcdefghijklmnopqrstuvwxyz"
SPELLINGS = [way.name for way in BANK.graphemes.correspondences if way.step != LETTERS]

taught = st.builds(
    Taught,
    st.frozensets(st.sampled_from(LETTER_NAMES)),
    st.frozensets(st.sampled_from(SPELLINGS)),
    st.booleans(),
)
words = st.lists(st.sampled_from(BANK.words), max_size=60)


def texts(offered: tuple[Word, ...]) -> list[str]:
    return [word.text for word in offered]


def can_be_written(word: Word, known: Taught) -> bool:
    """Written out box by box, as a teacher would go through it."""
    if not set(word.text) <= known.letters:
        return False
    for box in word.boxes:
        way = BANK.graphemes.way(box.grapheme, box.sounds)
        if box.irregular or way is None:
            if not known.exceptions:
                return False
        elif way.step != LETTERS and way.name not in known.spellings:
            return False
    return True


@given(taught)
def test_exactly_the_words_that_can_be_written_are_offered(known: Taught) -> None:
    assert set(BANK.offered(known)) == {word for word in BANK.words if can_be_written(word, known)}


@given(taught, st.frozensets(st.sampled_from(LETTER_NAMES)), st.frozensets(st.sampled_from(SPELLINGS)))
def test_who_was_taught_more_loses_no_word(
    known: Taught, letters: frozenset[str], spellings: frozenset[str]
) -> None:
    more = Taught(known.letters | letters, known.spellings | spellings, known.exceptions)

    assert set(BANK.offered(known)) <= set(BANK.offered(more))


@given(taught, st.frozensets(st.sampled_from(LETTER_NAMES), max_size=6))
def test_everyday_words_come_first_then_those_with_most_letters_that_are_due(
    known: Taught, due: frozenset[str]
) -> None:
    offered = BANK.offered(known, due)
    ranks = [(not word.everyday, -len(word.letters & due)) for word in offered]

    assert ranks == sorted(ranks)
    assert set(offered) == set(BANK.offered(known))


def test_with_no_letters_no_word_is_offered_and_with_all_that_is_taught_every_word() -> None:
    everything = Taught(frozenset(LETTER_NAMES), frozenset(SPELLINGS), exceptions=True)

    assert BANK.offered(Taught()) == ()
    assert set(BANK.offered(everything)) == set(BANK.words)


def test_five_letters_give_their_words_and_no_others() -> None:
    assert set(texts(BANK.offered(Taught(frozenset("satpi"))))) == {
        *("at", "it", "sat", "sit", "pat", "pit", "tap", "tip", "sap", "sip", "past"),
    } & {word.text for word in BANK.words}


def test_a_word_with_ow_waits_until_ow_is_taught_in_that_sound() -> None:
    letters = frozenset(LETTER_NAMES)

    assert "snow" not in texts(BANK.offered(Taught(letters, frozenset({"ow:AW"}))))
    assert "snow" in texts(BANK.offered(Taught(letters, frozenset({"ow:OW"}))))


def test_an_exception_word_waits_until_such_words_are_taught() -> None:
    letters = frozenset(LETTER_NAMES)

    assert "said" not in texts(BANK.offered(Taught(letters)))
    assert "said" in texts(BANK.offered(Taught(letters, exceptions=True)))


def test_a_school_s_own_words_are_offered_with_the_shipped_ones() -> None:
    own = spelled("tarn", "t ar n", BANK.graphemes, everyday=True)
    bank = WordBank(shipped_words(), [own])

    offered = bank.offered(Taught(frozenset("tarn"), frozenset({"ar:AA+R"})))

    assert "tarn" in bank
    assert own in offered
    assert "art" in texts(offered)


# Sets


def test_every_word_stands_in_one_set_in_the_order_of_teaching() -> None:
    sets = BANK.by_set(BANK.words)

    assert list(sets) == [name for name in BANK.set_names if name in sets]
    assert sum(len(group) for group in sets.values()) == len(BANK.words)
    assert all(word.irregular == (name == EXCEPTIONS) for name, group in sets.items() for word in group)


@for_each(
    ("text", "name"),
    [
        *(
            ("cat", "letters"),
            ("miss", "doubles"),
            ("stop", "blends"),
            ("grass", "blends"),
            ("ship", "digraphs"),
        ),
        *(("catch", "after_short"), ("cake", "split"), ("ice", "soft"), ("go", "open"), ("rain", "teams")),
        *(("car", "r_vowels"), ("knee", "silent"), ("apple", "syllables"), ("said", "exceptions")),
    ],
)
def test_a_word_stands_in_the_set_of_the_last_that_must_be_known_for_it(text: str, name: str) -> None:
    assert BANK.set_of(BANK[text]) == name


def test_every_correspondence_has_a_regular_word_to_show_it() -> None:
    for way in BANK.graphemes.correspondences:
        example = BANK.example(way)
        assert example is not None, way.name
        assert way in BANK.ways(example)


# By sound


@given(words)
def test_words_rhyme_that_sound_alike_from_the_vowel_on(some: list[Word]) -> None:
    for rime, group in by_sound.rhymes(some).items():
        assert len(group) > 1
        assert {word.rime for word in group} == {rime}
        assert len({word.onset for word in group}) == len(group)


def test_words_that_rhyme_may_be_spelled_otherwise_and_a_rime_is_spelled_alike() -> None:
    pair = [BANK["night"], BANK["bite"], BANK["light"]]

    assert by_sound.rhymes(pair) == {("AY", "T"): tuple(pair)}
    assert by_sound.by_rime(pair) == {("ight", ("AY", "T")): (BANK["night"], BANK["light"])}


def test_a_rime_that_sounds_two_ways_stands_twice_and_no_word_is_lost() -> None:
    snow, crow, cow, now = (BANK[text] for text in ("snow", "crow", "cow", "now"))

    assert by_sound.by_rime([snow, cow, crow, now]) == {
        ("ow", ("OW",)): (snow, crow),
        ("ow", ("AW",)): (cow, now),
    }


def test_a_name_that_no_word_needs_changes_nothing() -> None:
    plain, more = Taught(frozenset("cat")), Taught(frozenset({*"cat", "Q", "9"}), frozenset({"no:NO"}))

    assert BANK.offered(plain) == BANK.offered(more)


@given(words)
def test_words_are_grouped_by_their_first_sound_and_not_by_their_first_letter(some: list[Word]) -> None:
    for sound, group in by_sound.by_first_sound(some).items():
        assert {word.sounds[0] for word in group} == {sound}
    assert by_sound.by_first_sound([BANK["knee"], BANK["nest"]]) == {"N": (BANK["knee"], BANK["nest"])}


@given(words)
def test_the_odd_one_shares_no_sound_with_the_rime_of_the_others(some: list[Word]) -> None:
    for odd_set in by_sound.odd_in_rime(some):
        (rime,) = {word.rime for word in odd_set.alike}
        assert len(odd_set.alike) == by_sound.ALIKE
        assert not set(odd_set.odd.rime) & set(rime)


@given(words)
def test_the_odd_one_does_not_have_the_first_sound_of_the_others(some: list[Word]) -> None:
    for odd_set in by_sound.odd_in_first_sound(some):
        (sound,) = {word.sounds[0] for word in odd_set.alike}
        assert sound not in odd_set.odd.sounds


@given(words, st.sampled_from(BANK.words), st.integers(1, 8))
def test_in_a_chain_one_sound_changes_at_a_time_and_none_comes_twice(
    some: list[Word], start: Word, length: int
) -> None:
    chain = by_sound.chain(some, start, length)

    assert chain[0] == start
    assert 1 <= len(chain) <= length
    assert all(by_sound.one_sound_apart(first, second) for first, second in pairwise(chain))
    assert len({word.sounds for word in chain}) == len(chain)
    assert set(chain[1:]) <= set(some)


@given(words)
def test_chains_share_no_word_and_are_as_long_as_is_asked_for(some: list[Word]) -> None:
    chains = by_sound.chains(some, count=3, shortest=2, longest=4)
    drawn = [word for chain in chains for word in chain]

    assert len(chains) <= 3
    assert all(2 <= len(chain) <= 4 for chain in chains)
    assert len(set(drawn)) == len(drawn)
    assert set(drawn) <= set(some)


def test_a_chain_changes_another_sound_each_time_where_it_can() -> None:
    chain = by_sound.chain(BANK.words, BANK["cat"], 6)

    changed = [
        next(place for place in range(3) if first.sounds[place] != second.sounds[place])
        for first, second in pairwise(chain)
    ]
    assert len(chain) == 6
    assert all(first != second for first, second in pairwise(changed))


def test_a_chain_from_a_word_with_no_neighbor_is_that_word() -> None:
    assert by_sound.chain([BANK["island"]], BANK["cat"], 5) == (BANK["cat"],)


def test_a_search_for_a_chain_ends_where_there_is_none_so_long() -> None:
    assert 100 < len(by_sound.chain(BANK.words, BANK["cat"], 10_000)) < 1000

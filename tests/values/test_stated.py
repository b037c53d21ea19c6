"""Unknown, not stated, excluded and zero stay four things, in values and in sums."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from retrofit_desk.values.stated import Stated, StatedValue, total

words = st.sampled_from(Stated)


@st.composite
def stated_values(draw: st.DrawFn) -> StatedValue[int]:
    word = draw(words)
    return StatedValue(draw(st.integers(-(10**9), 10**9)) if word is Stated.KNOWN else None, word)


def test_zero_is_known_and_unlike_the_three_others() -> None:
    # CONS-1
    zero = StatedValue(0)
    assert zero.is_known
    assert len({zero, *(StatedValue(None, word) for word in Stated if word is not Stated.KNOWN)}) == 4


@pytest.mark.parametrize(
    ("value", "word"),
    [(None, Stated.KNOWN), (0, Stated.UNKNOWN), (5, Stated.EXCLUDED), (1, Stated.NOT_STATED)],
)
def test_a_value_and_its_word_cannot_disagree(value: int | None, word: Stated) -> None:
    with pytest.raises(ValueError, match="cannot be"):
        StatedValue(value, word)


@given(st.lists(stated_values()))
def test_a_sum_forgets_nothing(values: list[StatedValue[int]]) -> None:
    answer = total(values)
    counted = answer.unknown + answer.not_stated + answer.excluded
    assert counted == sum(1 for value in values if not value.is_known)
    assert answer.known == sum(value.value for value in values if value.value is not None)


@given(st.lists(stated_values()), st.lists(stated_values()))
def test_sums_of_parts_add_up(left: list[StatedValue[int]], right: list[StatedValue[int]]) -> None:
    whole, a, b = total(left + right), total(left), total(right)
    assert (whole.known, whole.unknown) == (a.known + b.known, a.unknown + b.unknown)
    assert whole.is_complete == (a.is_complete and b.is_complete)


def test_what_is_excluded_leaves_a_sum_complete_and_what_is_not_stated_does_not() -> None:
    assert total([StatedValue(5), StatedValue(None, Stated.EXCLUDED)]).is_complete
    assert not total([StatedValue(5), StatedValue(None, Stated.NOT_STATED)]).is_complete

"""Tags, a studio's own words for its glazes: kept once each, told apart exactly, refused in words."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.factories import GlazeFactory
from tiles import tags
from tiles.models import Glaze

WORDS = st.text("abcdeé 0-'", min_size=1, max_size=tags.LONGEST).map(lambda word: f"t{word}"[: tags.LONGEST])


@given(st.lists(WORDS, max_size=tags.MOST))
def test_tags_are_read_again_as_they_were_kept(typed):
    read = tags.read(" , ".join(typed).upper())

    assert tags.kept(tags.write(read)) == read == tags.read(tags.write(read))
    assert list(read) == sorted({" ".join(word.split()).upper().lower() for word in typed})
    assert len(tags.write(read)) <= tags.LONGEST_TEXT


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("liner/chun", "Use letters"),
        ("<b>", "Use letters"),
        ("-", "Use letters"),
        ("x" * (tags.LONGEST + 1), "longer than 30 letters"),
        (",".join(f"tag {n}" for n in range(tags.MOST + 1)), "These are 13 tags"),
    ],
)
def test_what_is_no_tag_is_refused_in_words(typed, words):
    with pytest.raises(ValueError, match=words):
        tags.read(typed)


@pytest.mark.django_db
def test_glazes_are_found_by_a_whole_tag_wherever_it_stands_among_theirs():
    kept = ("", "chun", "chun, liner", "blue, chun, liner", "blue, chun", "chun blue", "old chun, liner")
    glazes = {text: GlazeFactory(tags=text) for text in kept}

    found = set(Glaze.objects.tagged("chun").values_list("tags", flat=True))

    assert found == {text for text in glazes if "chun" in tags.kept(text)}
    assert Glaze.objects.all_tags() == ["blue", "chun", "chun blue", "liner", "old chun"]

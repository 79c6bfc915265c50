"""A result's card as it is written: its words, what is left out, and nothing of a person's typing as markup."""

import re

from django.template import Context, Template

from tests.tiles.conditions.test_words import CONDITIONS
from tiles.search.cards.words import Card, Picture

PLACE = {
    **{"x": "0", "y": "10", "width": "40", "height": "20", "tile_width": "40", "tile_height": "80"},
    "around": "-1 -1 42 82",
}
BARE = {
    **{"pk": 7, "label": "1042-9", "zone": "band 2", "place": PLACE, "address": "/tiles/1042-9/#outcome-7"},
    **{"stack": "Flux L ×1 + Harbour ×3", "seen": "satin", "judged": True, "colour": None, "delta_e": None},
    **{"marks": [], "conditions": "3 coats Harbour; cone 6", "picture": None, "where": ""},
    "facts": CONDITIONS,
}


def written(**more) -> str:
    page = Template("{% load cards %}{% card_of card %}").render(Context({"card": Card(**{**BARE, **more})}))
    return re.sub(r"\s+", " ", page)


def test_a_card_leads_to_its_result_and_can_be_ticked_to_compare():
    page = written()

    assert '<h2 class="card-stack"><a href="/tiles/1042-9/#outcome-7">Flux L ×1 + Harbour ×3</a></h2>' in page
    assert 'name="o" value="7" form="compare"' in page
    assert 'compare<span class="unseen"> tile 1042-9, band 2</span>' in page


def test_a_card_shows_where_on_the_tile_its_zone_is():
    page = written()

    assert 'viewBox="-1 -1 42 82"' in page
    assert '<rect class="zone-place-zone" x="0" y="10" width="40" height="20" />' in page


def test_a_card_says_what_was_not_judged_in_a_note():
    assert '<p class="card-seen note">not judged yet</p>' in written(seen="not judged yet", judged=False)
    assert '<p class="card-seen">satin</p>' in written()
    assert "card-seen" not in written(seen="")


def test_a_card_without_a_photo_says_so():
    page = written()

    assert "no photo yet" in page
    assert "icon--camera" in page
    assert "<img" not in page


def test_a_card_with_a_photo_names_the_tile_for_who_cannot_see_it():
    picture = Picture("/small", "/small 320w, /large 1600w", 1200, 900)
    page = written(picture=picture)

    assert 'src="/small" srcset="/small 320w, /large 1600w"' in page
    assert 'width="1200" height="900" alt="Tile 1042-9, band 2" loading="lazy"' in page
    assert "no photo yet" not in page


def test_a_colour_stands_with_its_name_basis_and_distance():
    colour = {"shown": "#7a5230", "name": "brown", "basis": "by the chart"}
    page = written(colour=colour, delta_e="1.4")

    assert 'fill="#7a5230"' in page
    assert '<span>brown <span class="note">by the chart</span></span>' in page
    assert '<strong class="steady">ΔE 1.4</strong>' in page
    assert "ΔE" not in written(colour=colour)


def test_flaws_and_verdict_are_chips():
    marks = [
        {"kind": "chip--flaw chip--slight", "words": "pinholes, slight"},
        {"kind": "chip--state", "words": "keep"},
    ]
    page = written(marks=marks)

    assert '<li class="chip chip--flaw chip--slight">pinholes, slight</li>' in page
    assert page.count("<li") == 2
    assert "chips" not in written()


def test_what_people_typed_is_never_markup():
    typed = """<b>"x"</b> & 'y'"""
    picture = Picture("/small?a&b", typed, 12, 9)
    page = written(
        **dict.fromkeys(("zone", "label", "stack", "conditions", "seen", "address", "delta_e"), typed),
        picture=picture,
        colour=dict.fromkeys(("shown", "name", "basis"), typed),
        marks=[{"kind": typed, "words": typed}],
    )

    assert "<b>" not in page
    assert '"x"' not in page
    assert "'y'" not in page
    assert "/small?a&amp;b" in page


def test_braces_in_a_name_stand_as_they_were_typed():
    assert "{0} Harbour {pk}" in written(stack="{0} Harbour {pk}", zone="{zone}")

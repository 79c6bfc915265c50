"""Where a form may ask to go on to."""

import pytest
from django.test import RequestFactory

from firings.http import is_within, way_on


@pytest.mark.parametrize("address", ["/", "/tiles/1042-9/", "/results/?cone=6&page=2"])
def test_a_page_of_the_studio_may_be_gone_on_to(rf: RequestFactory, address):
    assert is_within(rf.get("/"), address)


@pytest.mark.parametrize(
    "address", ["", "abc", "0001-01-01T00:00", "[]", "//elsewhere.example/", "https://elsewhere.example/"]
)
def test_a_bare_word_or_another_site_is_not_gone_on_to(rf: RequestFactory, address):
    asked = rf.post("/", {"next": address})

    assert way_on(asked, "/firings/") == "/firings/"

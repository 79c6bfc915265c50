"""What every page is made of: messages, forms, the pages that stand when nothing else does."""

import re
from types import SimpleNamespace

import pytest
from django import forms
from django.template.loader import render_to_string
from django.test import Client

ERROR_PAGES = ["400.html", "403.html", "403_csrf.html", "404.html", "500.html"]


class LotForm(forms.Form):
    lot = forms.CharField(label="Lot", help_text="as on the label")
    surface = forms.ChoiceField(
        label="Surface", choices=[("satin", "satin"), ("matt", "matt")], widget=forms.RadioSelect
    )
    settled = forms.BooleanField(label="It has settled", required=False)


def message(extra_tags: str) -> str:
    news = SimpleNamespace(extra_tags=extra_tags, level_tag="success", __str__=lambda: "Done.")
    return render_to_string("parts/_message.html", {"message": news})


def test_a_message_with_an_address_carries_an_undo():
    assert re.search(
        r'<form action="/history/undo/3"\s+method="post">.*Undo', message("/history/undo/3"), re.S
    )


def test_a_message_without_an_address_carries_none():
    assert "<form" not in message("") + message("quiet")


def test_a_refused_form_keeps_what_was_typed_and_says_why():
    page = str(LotForm({"lot": "24-118", "surface": ""}))

    assert 'value="24-118"' in page
    assert re.search(r'<ul class="errorlist" id="id_surface_error">', page)


def test_a_field_is_described_by_its_help_and_its_errors():
    page = str(LotForm({}))
    described = re.search(r'<input[^>]*name="lot"[^>]*aria-describedby="([^"]+)"', page)

    assert described
    assert all(f'id="{part}"' in page for part in described[1].split())


def test_choices_are_tap_targets_with_their_words():
    choice = r'<label class="choice"[^>]*>\s*<input type="radio"[^>]*>\s*<span class="choice-word">'

    assert len(re.findall(choice, str(LotForm()))) == 2


def test_only_a_field_still_empty_says_that_it_is_needed():
    assert "needed" in str(LotForm()["lot"].as_field_group())
    assert "needed" not in str(LotForm(initial={"lot": "24-118"})["lot"].as_field_group())
    assert "needed" not in str(LotForm()["settled"].as_field_group())


def test_a_tick_box_stands_before_its_words():
    assert re.search(
        r'<label class="tick"[^>]*>\s*<input type="checkbox"[^>]*>\s*<span>It has settled', str(LotForm())
    )


@pytest.mark.parametrize("page", ERROR_PAGES)
def test_an_error_page_asks_nothing_of_the_database_nor_of_the_list_of_files(page, settings):
    settings.STORAGES = settings.STORAGES | {
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.ManifestStaticFilesStorage"}
    }
    words = render_to_string(page)  # no database mark: a query would fail; no manifest: a look-up would too

    assert words.count("<h1>") == 1
    assert "/static/css/tokens.css" in words


@pytest.mark.django_db
def test_a_stranger_at_a_wrong_address_is_not_sent_to_the_studios_own_first_page(
    client: Client, viewer_client: Client
):
    stranger, viewer = (one.get("/p/cut-sho/") for one in (client, viewer_client))

    assert {stranger.status_code, viewer.status_code} == {404}
    assert "Sign in to the studio" in stranger.content.decode()
    assert "waiting" not in stranger.content.decode()
    assert "in the bin" not in stranger.content.decode()
    assert "To what is waiting" in viewer.content.decode()


def test_what_an_error_page_takes_for_a_session_is_the_sessions_cookie(settings):
    # The template cannot ask the settings, as it has to stand without them.
    assert settings.SESSION_COOKIE_NAME == "sessionid"

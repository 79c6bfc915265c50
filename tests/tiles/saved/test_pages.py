"""Saved searches: named, opened, shared, renamed, thrown away and back; one's own is seen by nobody else."""

import pytest
from django.contrib.messages import get_messages
from django.db import IntegrityError, transaction
from django.test import Client

from studio.bin.services import put_in_bin
from studio.models import Person
from tests.counting import queries_of
from tests.factories import ClayBodyFactory, GlazeFactory, SavedSearchFactory
from tiles.models import SavedSearch

pytestmark = pytest.mark.django_db

LIST = "/results/saved/"


def page(client: Client, path: str) -> str:
    return client.get(path).content.decode()


def test_a_search_is_saved_by_name_and_opened_again(recorder_client: Client, recorder: Person):
    answer = recorder_client.post(
        "/results/saved/new/?cone=6&verdict=keep&view=list&q=", {"name": "Keepers at 6"}
    )

    search = SavedSearch.objects.get()
    assert answer.headers["Location"] == "/results/?cone=6&verdict=keep"
    assert (search.name, search.query, search.owner, search.shared) == (
        "Keepers at 6",
        "cone=6&verdict=keep",
        recorder,
        False,
    )
    assert 'href="/results/?cone=6&amp;verdict=keep"' in page(recorder_client, LIST)
    assert "Keepers at 6" in page(recorder_client, "/results/")


def test_saving_is_undone_from_the_message(recorder_client: Client):
    answer = recorder_client.post("/results/saved/new/?cone=6", {"name": "Keepers at 6"})
    (message,) = get_messages(answer.wsgi_request)

    recorder_client.post(message.extra_tags)

    assert not SavedSearch.objects.exists()


def test_the_results_page_offers_to_save_just_this_search(recorder_client: Client, viewer_client: Client):
    offer = "/results/saved/new/?cone=6&amp;surface=satin"

    assert offer in page(recorder_client, "/results/?cone=6&surface=satin")
    assert offer not in page(viewer_client, "/results/?cone=6&surface=satin")


def test_a_search_for_nothing_is_not_saved(recorder_client: Client):
    answer = recorder_client.post("/results/saved/new/?view=list", {"name": "All"})

    assert answer.status_code == 422
    assert "Choose a filter first" in answer.content.decode()
    assert not SavedSearch.objects.exists()


def test_a_name_is_used_once_by_one_person_and_again_by_another(recorder_client: Client, recorder, keeper):
    SavedSearchFactory(name="Whites", owner=keeper)
    SavedSearchFactory(name="Blues", owner=recorder)

    again = recorder_client.post("/results/saved/new/?cone=6", {"name": "blues"})
    others = recorder_client.post("/results/saved/new/?cone=6", {"name": "Whites"})

    assert again.status_code == 422
    assert "another name" in again.content.decode()
    assert others.status_code == 302


def test_the_database_keeps_names_apart_too(recorder):
    SavedSearchFactory(name="Blues", owner=recorder)

    with pytest.raises(IntegrityError), transaction.atomic():
        SavedSearchFactory(name="BLUES", owner=recorder)


def test_it_is_renamed_and_shared_and_taken_back(recorder_client: Client, viewer_client: Client, recorder):
    search = SavedSearchFactory(name="Blues", query="cone=6", owner=recorder)
    assert "Blues" not in page(viewer_client, LIST)

    recorder_client.post(f"{LIST}{search.pk}/", {"name": "Cone 6 blues", "shared": "on", "stamp": 1})
    assert "Cone 6 blues" in page(viewer_client, LIST)
    assert f"shared by {recorder}" in page(viewer_client, LIST)

    recorder_client.post(f"{LIST}{search.pk}/", {"name": "Cone 6 blues", "stamp": 2})
    assert "Cone 6 blues" not in page(viewer_client, LIST)


def test_thrown_away_it_comes_back_from_the_message(recorder_client: Client, recorder):
    search = SavedSearchFactory(name="Blues", owner=recorder)
    answer = recorder_client.post(f"/history/tiles/savedsearch/{search.pk}/bin/", {"next": LIST})
    assert answer.headers["Location"] == LIST
    assert "Blues" in page(recorder_client, "/history/bin/")
    (message,) = get_messages(answer.wsgi_request)

    recorder_client.post(message.extra_tags)

    assert SavedSearch.objects.get() == search


def test_what_it_asks_for_stands_in_words(viewer_client: Client, keeper):
    glaze, body = GlazeFactory(name="Harbour"), ClayBodyFactory(name="Dune")
    query = f"glaze={glaze.pk}&body={body.pk}&cone=5–6&gloss=70.1–"
    SavedSearchFactory(query=query, owner=keeper, shared=True)

    shown = page(viewer_client, LIST)

    for words in ("with Harbour", "on Dune", "cone 5–6 reached", "gloss over 70 GU"):
        assert words in shown


def test_more_searches_take_no_more_queries(viewer_client: Client, keeper):
    SavedSearchFactory(query=f"glaze={GlazeFactory().pk}", owner=keeper, shared=True)
    few = queries_of(viewer_client, LIST), queries_of(viewer_client, "/results/")
    for glaze in GlazeFactory.create_batch(6):
        SavedSearchFactory(query=f"glaze={glaze.pk}", shared=True)

    assert (queries_of(viewer_client, LIST), queries_of(viewer_client, "/results/")) == few


@pytest.fixture
def private(keeper: Person) -> SavedSearch:
    """A keeper's own, which no recorder may see."""
    return SavedSearchFactory(name="Secret blues", query="q=hush", owner=keeper)


PATHS = ("", "bin/", "unbin/", "restore/{version}/")


@pytest.mark.parametrize("path", PATHS)
@pytest.mark.parametrize("method", ["get", "post"])
@pytest.mark.parametrize("binned", [False, True])
def test_what_is_anothers_own_is_not_there_for_others(
    recorder_client: Client, keeper, private, path, method, binned
):
    if binned:
        put_in_bin(private, by=keeper)
    version = private.history.first().history_id
    stamp = private.stamp

    answer = getattr(recorder_client, method)(
        f"/history/tiles/savedsearch/{private.pk}/{path.format(version=version)}"
    )

    assert answer.status_code in (404, 405)
    assert "Secret blues" not in answer.content.decode()
    assert SavedSearch.everything.get().stamp == stamp


def test_what_is_anothers_own_shows_on_no_page(
    recorder_client: Client, keeper_client: Client, keeper, private
):
    for path in (LIST, "/results/", "/history/bin/"):
        assert "Secret blues" not in page(recorder_client, path)
    assert recorder_client.get(f"{LIST}{private.pk}/").status_code == 404
    assert recorder_client.post(f"{LIST}{private.pk}/", {"name": "Mine", "stamp": 1}).status_code == 404
    assert "Secret blues" in page(keeper_client, LIST)

    put_in_bin(private, by=keeper)

    assert "Secret blues" not in page(recorder_client, "/history/bin/")
    assert "Secret blues" in page(keeper_client, "/history/bin/")


def test_not_even_a_keeper_sees_a_recorders_own(keeper_client: Client, recorder):
    search = SavedSearchFactory(name="Secret blues", owner=recorder)

    assert "Secret blues" not in page(keeper_client, LIST)
    assert keeper_client.get(f"/history/tiles/savedsearch/{search.pk}/").status_code == 404


def test_what_is_shared_is_seen_by_all_and_changed_by_its_owner_or_a_keeper(
    recorder_client: Client, keeper_client: Client
):
    search = SavedSearchFactory(name="Blues", query="cone=6", shared=True)
    history = f"/history/tiles/savedsearch/{search.pk}/"

    assert "Blues" in page(recorder_client, history)
    assert recorder_client.post(f"{history}bin/").status_code == 403
    assert recorder_client.get(f"{LIST}{search.pk}/").status_code == 403
    assert keeper_client.get(f"{LIST}{search.pk}/").status_code == 200
    assert keeper_client.post(f"{history}bin/").status_code == 302


def test_a_shared_one_in_the_bin_is_put_back_by_who_may(
    recorder_client: Client, keeper_client: Client, keeper
):
    search = SavedSearchFactory(name="Blues", shared=True)
    put_in_bin(search, by=keeper)

    assert "Blues" not in page(recorder_client, "/history/bin/")
    assert "Blues" in page(keeper_client, "/history/bin/")

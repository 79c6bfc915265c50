"""Other programs read the log with a key: as its person may, by the filters of the page, and change nothing."""

import json
from urllib.parse import urlencode

import pytest
import schemathesis
from django.core.cache import cache
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, Phase, settings
from openapi_spec_validator import validate

from studio.api import services
from studio.api.views import api
from studio.models import AccessKey
from tests.factories import (
    ClayBodyFactory,
    FiringFactory,
    GlazeFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def nobody_asked_yet():
    """How often a key was shown is counted in the cache, which outlives a test's database."""
    cache.clear()


@pytest.fixture
def key(viewer):
    return services.make_key(viewer, "a spreadsheet")


@pytest.fixture
def harbour():
    glaze = GlazeFactory(name="Harbour")
    tile = glaze_tile(TileFactory(body=ClayBodyFactory(name="Dune")), (glaze, {"band 1": 1, "band 2": 2}))
    fired_outcomes(tile, FiringFactory(fired=True, cost="43.21", note="from the private tin"))
    return glaze


def ask(path, key="", **headers):
    shown = {"Authorization": f"Bearer {key}"} if key else {}
    return Client().get(f"/api/1/{path}", headers={**shown, **headers})


ALL = ("results", "results/1", "tiles", "tiles/1042-9", "glazes", "bodies", "firings")


@pytest.mark.parametrize("path", ALL)
def test_without_a_key_nothing_is_read(path):
    assert ask(path).status_code == 401
    assert ask(path, "made-up").status_code == 401


@pytest.mark.parametrize("path", ALL)
@pytest.mark.parametrize("method", ["post", "put", "patch", "delete"])
def test_a_key_changes_nothing(path, method, key):
    answer = getattr(Client(), method)(f"/api/1/{path}", headers={"Authorization": f"Bearer {key}"})

    assert answer.status_code == 405


def test_being_signed_in_is_no_key(viewer_client):
    assert viewer_client.get("/api/1/results").status_code == 401


def test_a_key_reads_what_its_person_may_and_no_more(key, viewer):
    assert ask("glazes", key).status_code == 200
    viewer.groups.clear()
    assert ask("glazes", key).status_code == 403


def test_a_key_of_one_who_left_opens_nothing(key, viewer):
    viewer.is_active = False
    viewer.save()

    assert ask("glazes", key).status_code == 401


def test_results_are_asked_by_the_filters_of_the_page(key, harbour):
    found = ask(f"results?glaze={harbour.pk}&coats=2&cone=6", key).json()

    assert found["total"] == 1
    assert found["results"][0]["stack"] == "Harbour ×2"
    assert ask("results?coats=3", key).json()["total"] == 0


def test_what_could_not_be_read_is_refused_and_not_left_out(key):
    answer = ask("results?cone=hot", key)

    assert answer.status_code == 422
    assert "Cone" in answer.json()["problems"][0]


def test_many_results_come_in_pages_that_together_are_all(key, harbour):
    seen, path = [], "results?limit=1&sort=number"
    while path:
        page = ask(path, key).json()
        seen += [row["result"] for row in page["results"]]
        path = (page["next"] or "").removeprefix("/api/1/")

    assert len(seen) == len(set(seen)) == page["total"] == 2


def test_a_tile_comes_with_its_results(key, harbour):
    tile = harbour.stacked.first().outcome.tile
    found = ask(f"tiles/{tile.label}", key).json()

    assert (found["number"], len(found["results"])) == (tile.label, 2)
    assert ask("tiles/1042-0", key).status_code == 422
    assert ask("tiles/9999-4", key).status_code in (404, 422)


def test_tiles_and_firings_come_in_pages(key, harbour):
    TileFactory()
    first = ask("tiles?limit=1", key).json()
    second = ask(first["next"].removeprefix("/api/1/"), key).json()

    assert first["tiles"] != second["tiles"]
    assert ask("firings?limit=1", key).json()["next"]


def test_what_a_firing_cost_and_what_was_noted_privately_is_not_told(key, harbour):
    told = "".join(
        ask(path, key).content.decode() for path in ("firings", "results", "tiles", "glazes", "bodies")
    )

    assert "43.21" not in told
    assert "private tin" not in told


def test_what_did_not_change_is_not_sent_again(key, harbour):
    mark = ask("results", key).headers["ETag"]
    again = ask("results", key, **{"If-None-Match": mark})

    assert (again.status_code, again.content) == (304, b"")
    harbour.stacked.first().outcome.flaws.create(kind="crazing")
    assert ask("results", key, **{"If-None-Match": mark}).status_code == 200


def test_who_asks_without_end_is_told_to_wait(key):
    codes = {ask("glazes", key).status_code for _ in range(601)}

    assert codes == {200, 429}


def test_a_page_asks_as_often_for_many_results_as_for_few(key, harbour):
    def queries():
        with CaptureQueriesContext(connection) as asked:
            ask("results", key)
        return len(asked)

    queries()
    before = queries()
    fired_outcomes(
        glaze_tile(TileFactory(), (harbour, {"band 1": 1, "band 2": 2, "band 3": 3})),
        FiringFactory(fired=True),
    )

    assert queries() == before


def test_a_key_is_shown_once_and_only_its_mark_is_kept(viewer_client, viewer):
    page = viewer_client.post("/api/keys/", {"name": "a spreadsheet"})
    secret = page.context["made"]

    assert secret in page.content.decode()
    assert page.headers["Cache-Control"] == "no-store"
    assert secret not in viewer_client.get("/api/keys/").content.decode()
    assert secret not in json.dumps([str(value) for value in AccessKey.objects.values_list().get()])
    assert ask("glazes", secret).status_code == 200


def test_a_key_is_taken_back_by_its_person_or_a_keeper_and_nobody_else(
    viewer_client, recorder_client, keeper_client, key
):
    record = AccessKey.objects.get()
    assert recorder_client.post(f"/api/keys/{record.pk}/take-back/").status_code == 404
    assert ask("glazes", key).status_code == 200
    keeper_client.post(f"/api/keys/{record.pk}/take-back/")

    assert ask("glazes", key).status_code == 401


def test_a_key_needs_to_say_what_it_is_for(viewer_client):
    answer = viewer_client.post("/api/keys/", {"name": ""})

    assert answer.status_code == 422
    assert not AccessKey.objects.exists()


def test_keys_are_not_without_number(viewer):
    for place in range(services.MOST_KEYS):
        services.make_key(viewer, f"key {place}")

    with pytest.raises(services.TooManyKeys, match="Take back one"):
        services.make_key(viewer, "one more")


def test_the_openapi_document_is_valid_and_read_on_a_page(viewer_client):
    document = viewer_client.get("/api/openapi.json").json()
    validate(document)
    page = viewer_client.get("/api/").content.decode()

    for path in document["paths"]:
        assert path in page
    assert "Glaze in the stack" in page


SCHEMA = schemathesis.openapi.from_dict(api.get_openapi_schema(path_prefix="/api/1/"))


@SCHEMA.parametrize()
@settings(
    max_examples=25,
    deadline=None,
    phases=[Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.filter_too_much],
)
def test_nothing_that_a_program_may_ask_breaks_it(case, key, harbour):
    """Whatever fits the document, or just does not, is answered in a way the document tells of."""
    path = case.formatted_path.removeprefix("/api/1/")
    answer = ask(f"{path}?{urlencode(dict(case.query or {}), doseq=True)}", key)

    assert str(answer.status_code) in case.operation.definition.raw["responses"]

"""Signing in by name and password, and being refused."""

import re
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from studio.models import Person, SignInTry
from studio.people.services import TRIES_PER_ADDRESS, TRIES_PER_NAME, give_role
from studio.roles import Role
from tests.factories import TileFactory

pytestmark = pytest.mark.django_db
PASSWORD = "oval kiln on the hill"
WHY_A_LABEL = "What this label leads to is open to people of the studio only."


@pytest.fixture
def rowan() -> Person:
    return Person.objects.create_user("rowan", password=PASSWORD, name="Rowan Reed")


def try_in(client: Client, username: str = "rowan", password: str = "wrong", **more):
    return client.post("/sign-in/", {"username": username, "password": password, **more})


def test_name_and_password_let_a_person_in(client: Client, rowan):
    answer = try_in(client, password=PASSWORD, next="/account/")

    assert answer.headers["Location"] == "/account/"
    assert client.get("/account/").status_code == 200


def test_a_phone_that_writes_the_name_with_a_capital_gets_in(client: Client, rowan):
    assert try_in(client, "Rowan", PASSWORD, next="/account/").status_code == 302


def test_two_people_cannot_differ_by_capitals_alone(client: Client, rowan, django_assert_num_queries):
    with pytest.raises(Exception, match=r"(?i)unique"):
        Person.objects.create_user("ROWAN", name="Another")


def test_a_wrong_password_says_so_and_keeps_the_name_typed(client: Client, rowan):
    answer = try_in(client)

    assert answer.status_code == 422
    assert "do not go together" in answer.content.decode()
    assert 'value="rowan"' in answer.content.decode()


def test_an_unknown_name_gets_the_same_answer_as_a_wrong_password(client: Client, rowan):
    known = try_in(client, "rowan").content.decode().replace("rowan", "NAME")
    unknown = try_in(client, "nobody").content.decode().replace("nobody", "NAME")

    assert "do not go together" in unknown
    assert _without_tokens(known) == _without_tokens(unknown)


def _without_tokens(page: str) -> str:
    return "\n".join(line for line in page.splitlines() if "csrf" not in line.lower())


def test_the_eleventh_try_is_refused_even_with_the_right_password(client: Client, rowan):
    answers = [try_in(client).status_code for _ in range(TRIES_PER_NAME)]
    eleventh = try_in(client, password=PASSWORD)

    assert answers == [422] * 10
    assert eleventh.status_code == 429
    assert "Too many tries" in eleventh.content.decode()
    assert "_auth_user_id" not in client.session


def test_another_person_is_not_held_up_by_someone_elses_tries(client: Client, rowan):
    for _ in range(TRIES_PER_NAME):
        try_in(client, "vesna")

    assert try_in(client, password=PASSWORD, next="/account/").status_code == 302


def test_trying_many_names_from_one_address_is_refused_too(client: Client, rowan):
    for n in range(TRIES_PER_ADDRESS):
        try_in(client, f"name-{n}")

    assert try_in(client, password=PASSWORD).status_code == 429


def test_after_a_quarter_of_an_hour_one_may_try_again_though_refused_tries_went_on(client: Client, rowan):
    for _ in range(TRIES_PER_NAME + 5):
        try_in(client)
    SignInTry.objects.update(tried_at=timezone.now() - timedelta(minutes=16))

    assert try_in(client, password=PASSWORD, next="/account/").status_code == 302


def test_getting_in_forgets_the_tries_before(client: Client, rowan):
    for _ in range(TRIES_PER_NAME - 1):
        try_in(client)
    try_in(client, password=PASSWORD)

    assert SignInTry.objects.count() == 0


def test_nothing_that_was_typed_at_the_door_is_kept_readably(client: Client, rowan):
    try_in(client, username="oops my password")

    assert not any("oops" in mark for mark in SignInTry.objects.values_list("mark", flat=True))


def test_behind_a_proxy_each_client_has_its_own_count(client: Client, rowan, settings):
    settings.BEHIND_HTTPS = True
    for n in range(TRIES_PER_ADDRESS):
        client.post(
            "/sign-in/", {"username": f"n{n}", "password": "x"}, headers={"X-Forwarded-For": "10.0.0.7"}
        )
    right = {"username": "rowan", "password": PASSWORD, "next": "/account/"}

    assert client.post("/sign-in/", right, headers={"X-Forwarded-For": "10.0.0.7"}).status_code == 429
    # What a client writes itself stands before what the proxy adds, and counts for nothing.
    assert (
        client.post("/sign-in/", right, headers={"X-Forwarded-For": "10.0.0.7, 10.0.0.8"}).status_code == 302
    )


@pytest.mark.parametrize(
    "elsewhere", ["https://elsewhere.example/", "//elsewhere.example/", "javascript:alert(1)", "abc"]
)
def test_signing_in_never_leads_to_another_site(client: Client, rowan, settings, elsewhere):
    settings.LOGIN_REDIRECT_URL = "people:account"
    answer = try_in(client, password=PASSWORD, next=elsewhere)

    assert answer.headers["Location"] == "/account/"


def test_someone_who_may_no_longer_sign_in_does_not(client: Client, rowan):
    rowan.is_active = False
    rowan.save()

    assert try_in(client, password=PASSWORD).status_code == 422


def test_a_page_asked_for_before_signing_in_opens_afterwards(client: Client, rowan):
    first = client.get("/account/?from=link")
    page = client.get(first.headers["Location"]).content.decode()

    assert 'name="next" value="/account/?from=link"' in page


@pytest.mark.parametrize("written", ["/T/{}", "/t/{}", "/tiles/{}/"])
def test_whoever_scans_a_label_is_told_why_to_sign_in_and_lands_on_the_tile(client: Client, rowan, written):
    give_role(rowan, Role.VIEWER)
    tile = TileFactory()
    door = client.get(written.format(tile.label)).headers["Location"]
    page = client.get(door).content.decode()
    wanted = re.search(r'name="next" value="([^"]+)"', page)
    inside = try_in(client, password=PASSWORD, next=wanted[1])
    tile_page = client.get(inside.headers["Location"], follow=True)

    assert WHY_A_LABEL in page
    assert tile_page.status_code == 200
    assert tile_page.request["PATH_INFO"] == f"/tiles/{tile.label}/"


def test_the_door_does_not_tell_which_tiles_there_are(client: Client):
    there, never = TileFactory().label, "99001-7"
    doors = [
        client.get(client.get(f"/T/{one}").headers["Location"]).content.decode() for one in (there, never)
    ]

    assert _without_tokens(doors[0]).replace(there, "LABEL") == _without_tokens(doors[1]).replace(
        never, "LABEL"
    )


def test_the_door_says_nothing_of_labels_to_who_comes_another_way(client: Client):
    for address in ("/sign-in/", "/sign-in/?next=/account/", "/sign-in/?next=/nowhere/"):
        assert WHY_A_LABEL not in client.get(address).content.decode()


def test_a_wrong_password_after_a_scan_still_says_why_to_sign_in(client: Client, rowan):
    assert WHY_A_LABEL in try_in(client, next="/T/1042-9").content.decode()


def test_signing_out_takes_a_button_and_ends_the_session(client: Client, rowan):
    client.force_login(rowan)

    assert client.get("/sign-out/").status_code == 405
    assert client.post("/sign-out/").headers["Location"] == "/sign-in/"
    assert client.get("/account/").status_code == 302

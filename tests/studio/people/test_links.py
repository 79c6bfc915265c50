"""One-time links: from the terminal, as an invitation, for a new password."""

import re
from datetime import timedelta

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.utils import timezone

from studio.models import Person, SignInLink
from studio.people.queries import role_of
from studio.people.services import LINK_LIVES, LinkIsClosed, make_link, use_link
from studio.roles import Role
from studio.vocabulary import LinkPurpose

pytestmark = pytest.mark.django_db
PASSWORD = "two coats over the flux"


@pytest.fixture(autouse=True)
def first_page(settings) -> None:
    settings.LOGIN_REDIRECT_URL = "people:account"


def invite(person: Person, purpose: LinkPurpose = LinkPurpose.INVITATION) -> str:
    return f"/come-in/{make_link(person, purpose, by=None)}/"


def test_a_link_lets_its_person_in_once(client: Client, recorder):
    link = invite(recorder, LinkPurpose.SIGN_IN)
    first = client.post(link)
    second = Client().post(link)

    assert first.status_code == 302
    assert client.get("/account/").context["user"] == recorder
    assert second.status_code == 410
    assert "used already" in second.content.decode()


def test_a_preview_of_the_link_does_not_use_it_up(client: Client, recorder):
    link = invite(recorder, LinkPurpose.SIGN_IN)
    previews = [client.get(link).status_code for _ in range(3)]

    assert previews == [200, 200, 200]
    assert "_auth_user_id" not in client.session
    assert client.post(link).status_code == 302


def test_of_two_who_use_a_link_at_once_one_is_refused(recorder):
    make_link(recorder, LinkPurpose.SIGN_IN, by=None)
    link, same_link = SignInLink.objects.get(), SignInLink.objects.get()
    use_link(link)

    with pytest.raises(LinkIsClosed):
        use_link(same_link)


@pytest.mark.parametrize("purpose", list(LinkPurpose))
def test_a_link_runs_out(client: Client, recorder, purpose):
    link = invite(recorder, purpose)
    past = timezone.now() - LINK_LIVES[purpose] - timedelta(seconds=1)
    SignInLink.objects.update(made_at=past, expires_at=past + LINK_LIVES[purpose])

    assert client.get(link).status_code == client.post(link).status_code == 410


def test_only_a_hash_of_the_link_is_kept(recorder):
    token = make_link(recorder, LinkPurpose.SIGN_IN, by=None)

    assert len(token) >= 43  # 256 bits, six to a character
    assert token not in SignInLink.objects.get().token_hash


def test_a_newer_link_closes_the_one_before(client: Client, recorder):
    before, after = invite(recorder), invite(recorder)

    assert client.get(before).status_code == 410
    assert client.get(after).status_code == 200


def test_a_made_up_link_is_closed(client: Client):
    assert client.get("/come-in/made-up/").status_code == 410


def test_a_link_of_someone_who_may_no_longer_sign_in_is_closed(client: Client, recorder):
    link = invite(recorder, LinkPurpose.SIGN_IN)
    Person.objects.update(is_active=False)

    assert client.post(link).status_code == 410


def test_an_invited_person_chooses_names_and_password(client: Client, recorder):
    typed = {"name": "Ro Reed", "username": "ro", "password": PASSWORD, "again": PASSWORD}
    answer = client.post(invite(recorder), typed)
    recorder.refresh_from_db()

    assert answer.status_code == 302
    assert (recorder.name, recorder.username) == ("Ro Reed", "ro")
    assert recorder.check_password(PASSWORD)
    assert role_of(recorder) is Role.RECORDER
    assert client.get("/account/").status_code == 200


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"again": "something else"}, "differ"),
        ({"password": "short", "again": "short"}, "at least 10"),
        ({"password": "password123", "again": "password123"}, "common"),
        ({"username": "kit-kerr"}, "already signs in"),
        ({"username": "KIT-KERR"}, "already signs in"),
        ({"username": "two words"}, "without spaces"),
        ({"name": ""}, "required"),
    ],
)
def test_a_refused_invitation_says_why_keeps_what_was_typed_and_stays_open(
    client: Client, recorder, keeper, wrong, words
):
    link = invite(recorder)
    typed = {"name": "Ro Reed", "username": "ro", "password": PASSWORD, "again": PASSWORD} | wrong
    answer = client.post(link, typed)
    page = answer.content.decode()

    assert answer.status_code == 422
    assert words in page
    assert f'value="{typed["username"]}"' in page
    assert f'value="{typed["password"]}"' not in page
    assert client.get(link).status_code == 200


def test_a_new_password_link_changes_only_the_password(client: Client, recorder):
    recorder.set_password("the one before")
    recorder.save()
    answer = client.post(
        invite(recorder, LinkPurpose.NEW_PASSWORD), {"password": PASSWORD, "again": PASSWORD}
    )
    changed = Person.objects.get(pk=recorder.pk)

    assert answer.status_code == 302
    assert changed.check_password(PASSWORD)
    assert changed.username == recorder.username


def test_the_terminal_prints_a_link_for_the_first_keeper(client: Client, keeper, capsys):
    call_command("sign_in_link")
    printed = capsys.readouterr().out.strip()
    path = re.fullmatch(r"http://127\.0\.0\.1:8000(/come-in/[\w-]+/)", printed)[1]
    client.post(path)

    assert client.get("/account/").context["user"] == keeper


def test_the_terminal_makes_a_keeper_where_there_is_none(db):
    call_command("sign_in_link")

    assert role_of(Person.objects.get()) is Role.KEEPER


def test_the_terminal_names_those_who_sign_in_when_a_name_is_wrong(keeper):
    with pytest.raises(CommandError, match="kit-kerr"):
        call_command("sign_in_link", "kitt")


def test_the_terminal_prints_a_link_for_anyone_by_name(client: Client, viewer, capsys):
    call_command("sign_in_link", "Vesna-Vale")
    client.post(re.search(r"/come-in/\S+", capsys.readouterr().out)[0])

    assert client.get("/account/").context["user"] == viewer


def row_of_the_link(page: str, person: Person) -> str:
    rows = re.findall(r"<tr>.*?</tr>", page.partition("Links that are open")[2], re.DOTALL)
    return next((" ".join(row.split()) for row in rows if str(person) in row), "")


def test_open_links_stand_on_the_page_of_people_with_who_made_them_and_until_when(
    keeper_client: Client, keeper, viewer, recorder
):
    make_link(viewer, LinkPurpose.INVITATION, by=keeper)
    make_link(recorder, LinkPurpose.SIGN_IN, by=None)
    row = row_of_the_link(keeper_client.get("/people/").content.decode(), viewer)

    until = timezone.localtime(SignInLink.objects.get(person=viewer).expires_at)
    assert "invitation" in row
    assert str(keeper) in row
    assert f"{until.day} {until:%b %Y, %H:%M}" in row
    assert "a command" in row_of_the_link(keeper_client.get("/people/").content.decode(), recorder)


def test_a_link_that_was_used_ran_out_or_is_somebodys_who_may_not_sign_in_is_not_listed(
    keeper_client: Client, viewer, recorder
):
    use_link(SignInLink.objects.get(token_hash=made(viewer)))
    make_link(recorder, LinkPurpose.INVITATION, by=None)
    past = timezone.now() - timedelta(days=8)
    SignInLink.objects.filter(person=recorder).update(made_at=past, expires_at=past + timedelta(days=7))

    assert "Links that are open" not in keeper_client.get("/people/").content.decode()

    SignInLink.objects.filter(person=recorder).update(expires_at=timezone.now() + timedelta(days=1))
    assert row_of_the_link(keeper_client.get("/people/").content.decode(), recorder)
    Person.objects.filter(pk=recorder.pk).update(is_active=False)
    assert "Links that are open" not in keeper_client.get("/people/").content.decode()


def made(person: Person) -> str:
    make_link(person, LinkPurpose.NEW_PASSWORD, by=None)
    return SignInLink.objects.get(person=person).token_hash


def test_a_withdrawn_link_opens_nothing_and_nobody_but_a_keeper_withdraws(
    client: Client, keeper_client: Client, recorder_client: Client, viewer
):
    link = invite(viewer)
    address = f"/people/links/{SignInLink.objects.get().pk}/withdraw/"
    assert recorder_client.post(address).status_code == 403
    assert client.get(link).status_code == 200

    page = keeper_client.post(address, follow=True).content.decode()

    assert "opens nothing any more" in page
    assert client.get(link).status_code == client.post(link).status_code == 410
    assert "it was withdrawn" in client.get(link).content.decode()
    assert row_of_the_link(page, viewer) == ""


def test_a_link_somebody_came_in_by_is_not_withdrawn_and_stays_written_down(keeper_client: Client, viewer):
    invite(viewer)
    link = SignInLink.objects.get()
    use_link(link)
    page = keeper_client.post(f"/people/links/{link.pk}/withdraw/", follow=True).content.decode()

    assert "came in by this link already" in page
    assert SignInLink.objects.get().used_at

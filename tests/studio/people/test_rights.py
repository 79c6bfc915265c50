"""What a person may do: that of the roles and of the person, as the framework itself reads it, by one question."""

import pytest
from django.contrib.auth import authenticate
from django.contrib.auth.backends import ModelBackend
from django.contrib.auth.models import Permission
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from studio.models import Person
from studio.people.rights.queries import Rights

pytestmark = pytest.mark.django_db


def again(person: Person) -> Person:
    """The person as the next request finds them, with nothing remembered."""
    return Person.objects.get(pk=person.pk)


def test_every_role_may_what_the_framework_reads(viewer: Person, recorder: Person, keeper: Person):
    recorder.user_permissions.add(Permission.objects.get(codename="add_accesskey"))

    for person in (viewer, recorder, keeper):
        rights = Rights().get_all_permissions(again(person))
        assert rights == ModelBackend().get_all_permissions(again(person))
        assert rights
    assert Rights().get_all_permissions(again(viewer)) < Rights().get_all_permissions(again(keeper))


def test_rights_are_asked_for_once_and_the_framework_finds_them_kept(recorder: Person):
    assert again(recorder).has_perm("tiles.view_tile")  # the names of these rights are kept from here on
    person = again(recorder)
    with CaptureQueriesContext(connection) as asked:
        assert person.has_perm("tiles.add_tile")
        assert not person.has_perm("studio.delete_person")
        assert not person.has_perm("tiles.no_such_right")

    assert len(asked) == 1


def test_who_is_not_active_any_more_may_nothing(recorder: Person):
    recorder.is_active = False
    recorder.save()

    assert Rights().get_all_permissions(again(recorder)) == set()
    assert not again(recorder).has_perm("tiles.view_tile")


def test_a_right_taken_away_is_gone_at_the_next_page(recorder: Person, recorder_client: Client):
    assert recorder_client.get("/tiles/new/").status_code == 200

    recorder.groups.clear()

    assert recorder_client.get("/tiles/new/").status_code == 403


def test_who_comes_by_a_session_is_read_with_their_rights_in_one_question(recorder: Person):
    assert again(recorder).has_perm("tiles.view_tile")
    with CaptureQueriesContext(connection) as asked:
        person = Rights().get_user(recorder.pk)
        assert person.has_perm("tiles.add_tile")
        assert not person.has_perm("studio.delete_person")

    assert len(asked) == 1
    assert {field.attname: getattr(person, field.attname) for field in Person._meta.concrete_fields} == {
        field.attname: getattr(again(recorder), field.attname) for field in Person._meta.concrete_fields
    }


def test_who_left_or_never_was_does_not_come_by_a_session(recorder: Person):
    Person.objects.filter(pk=recorder.pk).update(is_active=False)

    assert Rights().get_user(recorder.pk) is None
    assert Rights().get_user(10**9) is None


def test_a_wrong_password_is_hashed_once_as_a_second_try_would_double_what_a_stranger_costs(
    recorder: Person, monkeypatch: pytest.MonkeyPatch
):
    recorder.set_password("wet hands and cobalt")
    recorder.save()
    tried = []
    checked = Person.check_password
    monkeypatch.setattr(Person, "check_password", lambda *asked: tried.append(asked) or checked(*asked))

    assert authenticate(username=recorder.username, password="dry hands and iron") is None
    assert len(tried) == 1
    assert authenticate(username=recorder.username, password="wet hands and cobalt") == recorder


def test_a_superuser_may_everything(recorder: Person):
    recorder.groups.clear()
    recorder.is_superuser = True
    recorder.save()

    assert again(recorder).has_perm("studio.delete_person")

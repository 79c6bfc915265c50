"""What a person may do: that of the roles and of the person, as the framework itself reads it, by one question."""

import pytest
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


def test_a_superuser_may_everything(recorder: Person):
    recorder.groups.clear()
    recorder.is_superuser = True
    recorder.save()

    assert again(recorder).has_perm("studio.delete_person")

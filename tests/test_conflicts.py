"""Every form that edits a record: somebody else saved meanwhile, so both versions are shown and nothing is overwritten.

Found from the site map: an edit form added later is swept without a change here.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any

import pytest
from django.test import Client
from django.urls import NoReverseMatch, reverse

from firings.forms import KeptForm
from firings.models import Kept, Programme
from tests import factories
from tests.test_permissions import SITE_MAP
from tiles.models import Printer, SavedSearch
from tiles.prints import ruler

pytestmark = pytest.mark.django_db

TYPED = "typed here"
# Where any words may be typed.
FREE_TEXT = ("note", "name", "cautions")


def printer() -> Printer:
    """One that prints true."""
    return Printer.objects.create(
        name="By the window",
        measured_across_mm=ruler.ACROSS_MM,
        measured_down_mm=ruler.DOWN_MM,
        measured_left_mm=ruler.LEFT_MM,
        measured_top_mm=ruler.TOP_MM,
    )


def shared_search() -> SavedSearch:
    """One that a keeper may change whoever's it is."""
    return factories.SavedSearchFactory(query="cone=6", shared=True)


def programme() -> Programme:
    """One of a single segment."""
    return factories.SegmentFactory().programme


# Each kind of record that has a form of its own, made new, with what its address is made of.
RECORDS = {
    "kiln": (factories.KilnFactory, "pk"),
    "programme": (programme, "pk"),
    "firing": (factories.FiringFactory, "number"),
    "body": (factories.ClayBodyFactory, "pk"),
    "glaze": (factories.GlazeFactory, "pk"),
    "batch": (factories.GlazeBatchFactory, "pk"),
    "reading": (factories.BatchReadingFactory, "pk"),
    "form": (factories.TileFormFactory, "pk"),
    "tile": (factories.TileFactory, "label"),
    "series": (factories.SeriesFactory, "pk"),
    "stock": (factories.LabelStockFactory, "pk"),
    "printer": (printer, "pk"),
    "standard": (factories.StudioStandardFactory, "pk"),
    "saved search": (shared_search, "pk"),
    "board": (factories.BoardFactory, "pk"),
    "place": (factories.PlaceFactory, "pk"),
    "absorption test": (factories.AbsorptionTestFactory, "pk"),
    "leach report": (factories.LeachReportFactory, "pk"),
}


@dataclass
class Form(HTMLParser):
    """The fields of the form on a page that carries a stamp, as a browser would send them."""

    fields: dict[str, list[str]] = field(default_factory=dict)
    texts: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__()
        self._within: dict[str, list[str]] = {}
        self._texts: list[str] = []
        self._select = self._area = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        name = given.get("name", "")
        match tag:
            case "form":
                self._within, self._texts = {}, []
            case "input" if name and given.get("type") not in ("submit", "button", "file"):
                if given.get("type") not in ("checkbox", "radio") or "checked" in given:
                    self._within.setdefault(name, []).append(given.get("value", ""))
                if given.get("type", "text") == "text" and "readonly" not in given:
                    self._texts.append(name)
            case "select":
                self._select = name
            case "option" if self._select and "selected" in given:
                self._within.setdefault(self._select, []).append(given.get("value", ""))
            case "textarea":
                self._area = name
                self._within[name] = [""]
                self._texts.append(name)

    def handle_data(self, data: str) -> None:
        if self._area:
            self._within[self._area][0] += data

    def handle_endtag(self, tag: str) -> None:
        match tag:
            case "select":
                self._select = ""
            case "textarea":
                self._area = ""
            case "form" if "stamp" in self._within:
                self.fields, self.texts = self._within, self._texts


def edit_pages(client: Client, record: Kept, key: Any) -> Iterator[tuple[str, Form]]:
    """Each page of the site that edits this very record."""
    for address in SITE_MAP:
        if not address.name.rpartition(":")[2].startswith("edit"):
            continue
        try:
            path = reverse(address.name, args=[key])
        except NoReverseMatch:
            continue
        answer = client.get(path)
        if answer.status_code == 200:
            form = Form()
            form.feed(answer.content.decode())
            if form.fields and (key != record.pk or _edits(answer, record)):
                yield path, form


def _edits(answer: Any, record: Kept) -> bool:
    """Whether a form on the page is of this very record: another kind's may have the same key."""
    shown = [one for layer in answer.context or [] for part in layer.dicts for one in part.values()]
    return any(getattr(one, "instance", None) == record for one in shown)


@pytest.mark.parametrize("kind", RECORDS)
def test_what_somebody_else_saved_meanwhile_is_never_overwritten_in_silence(keeper_client: Client, kind):
    make, key = RECORDS[kind]
    record = make()
    pages = list(edit_pages(keeper_client, record, getattr(record, key)))
    assert pages, f"no page edits a {kind}"

    for path, form in pages:
        theirs = type(record).objects.get(pk=record.pk)
        theirs.save()
        name = next(one for one in FREE_TEXT if one in form.texts)
        sent = form.fields | {name: [TYPED]}

        answer = keeper_client.post(path, sent)

        assert answer.status_code == 409, path
        assert TYPED in answer.content.decode(), path
        assert type(record).objects.get(pk=record.pk).stamp == theirs.stamp, path


def kept_forms(family: type = KeptForm) -> Iterator[type[KeptForm]]:
    for one in family.__subclasses__():
        yield one
        yield from kept_forms(one)


def test_every_kind_of_record_with_a_form_is_swept():
    swept = {type(make()) for make, _ in RECORDS.values()}
    edited = {form._meta.model for form in kept_forms() if getattr(form, "_meta", None) and form._meta.model}

    assert edited <= swept, {model.__name__ for model in edited - swept}

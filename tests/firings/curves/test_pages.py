"""A curve is brought in, looked at, corrected, kept, drawn, and taken off again; nothing is lost on the way."""

import re
from decimal import Decimal
from urllib.parse import parse_qs, urlsplit

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from firings.cones import series
from firings.curves import services
from firings.curves.outlook import look
from firings.curves.reading import Choice
from firings.models import Curve, Kiln
from firings.programmes.segments import Unit
from firings.report.queries import report_of
from studio.models import StudioPreferences
from tests.factories import FiringFactory, KilnFactory, WitnessConeFactory
from tests.firings.curves.books import BOOKS
from tests.firings.curves.shapes import SHAPES, rows

pytestmark = pytest.mark.django_db


def log(name="Kiln (°C)", *, hotter=0.0, unit=lambda temp: temp, title="Time (min)"):
    lines = [f"{title},{name}", *(f"{s / 60:g},{unit(t + hotter):.1f}" for s, t in rows())]
    return "\n".join(lines).encode()


def address(name, firing, *more):
    return reverse(f"firings:curves:{name}", args=[firing.number, *more])


def send(client, firing, data, name="kiln.csv"):
    return client.post(address("new", firing), {"file": SimpleUploadedFile(name, data)})


def fields_of(page):
    """What a browser would send back from the page's form."""
    form = page.context["form"]
    typed = {name: form[name].value() for name in form.fields}
    return {name: value for name, value in typed.items() if value not in (None, "")} | {
        "shown": page.context["looked"].shown
    }


def bring_in(client, firing, data, name="kiln.csv"):
    looked = send(client, firing, data, name).url
    return client.post(looked, fields_of(client.get(looked)) | {"keep": "1"})


@pytest.fixture(autouse=True)
def data_folder(settings, tmp_path):
    settings.DATA_DIR = tmp_path
    return tmp_path


@pytest.fixture
def firing():
    return FiringFactory(number=231, fired=True, kiln=KilnFactory(name="Oriel"))


def test_a_curve_is_looked_at_before_anything_is_kept(recorder_client, firing):
    answer = send(recorder_client, firing, log())
    page = recorder_client.get(answer.url).content.decode()

    assert "Nothing is kept yet" in page
    assert "temperature, °C, by its name" in page
    assert "curve-line--logged" in page
    assert not Curve.objects.exists()


def test_a_file_that_may_be_another_firings_is_said_before_it_is_kept(recorder_client, firing):
    """The log is of 3 March and comes to cone 6.9; the firing was in October and meant for cone 04."""
    lines = [
        "Time,Kiln (°C)",
        *(f"2026-03-03 {int(s // 3600):02}:{int(s // 60 % 60):02}:00,{t:.1f}" for s, t in rows()),
    ]
    data = "\n".join(lines).encode()
    other = FiringFactory(number=230, fired=True, kiln=firing.kiln, target_order=series.order_of("04"))
    bring_in(recorder_client, firing, data)

    page = recorder_client.get(send(recorder_client, other, data).url).content.decode()
    own = recorder_client.get(send(recorder_client, firing, data).url).content.decode()

    assert "F-0231 holds this very file" in page
    assert "The log begins on 3 March 2026, 00:00" in page
    assert "was to go to cone 04" in page
    assert "F-0231 holds this very file already. Kept again" in own
    assert "Is it another firing" not in own


def test_a_kept_curve_decides_the_reached_cone(recorder_client, firing):
    answer = bring_in(recorder_client, firing, log())
    firing.refresh_from_db()

    assert answer.url == firing.get_absolute_url()
    assert firing.reached_source == "curve"
    # reference table, heat work: 60 °C/h to 1222 °C held 15 min is 6.87, by the table's model
    assert float(firing.reached_number) == pytest.approx(6.87, abs=0.1)


def test_witness_cones_stand_before_a_curve(recorder_client, firing):
    WitnessConeFactory(firing=firing, bend_deg=45)
    bring_in(recorder_client, firing, log())
    firing.refresh_from_db()

    assert firing.reached_source == "witness"


def test_the_logger_s_file_is_kept_byte_for_byte(recorder_client, firing, data_folder):
    data = log() + b"\r\n\r\n"
    bring_in(recorder_client, firing, data)
    curve = Curve.objects.get()
    place = (
        data_folder
        / "curves"
        / curve.original_sha256[:2]
        / curve.original_sha256[2:4]
        / curve.original_sha256
    )
    answer = recorder_client.get(address("original", firing, curve.pk))

    assert place.read_bytes() == data
    assert b"".join(answer.streaming_content) == data
    assert not list((data_folder / "curves" / "waiting").iterdir())


def test_a_correction_is_looked_at_again_and_then_kept(recorder_client, firing):
    looked = send(recorder_client, firing, log("Kiln", unit=lambda temp: temp * 0.6)).url
    first = recorder_client.get(looked)
    typed = fields_of(first) | {"unit": "F"}
    again = recorder_client.post(looked, typed)
    page = recorder_client.get(again.url)

    assert not Curve.objects.exists()
    assert parse_qs(urlsplit(again.url).query)["unit"] == ["F"]
    assert page.context["looked"].outlook.choice.unit == "F"

    recorder_client.post(again.url, fields_of(page) | {"keep": "1"})

    assert Curve.objects.get().read_as["choice"]["unit"] == "F"


def test_what_was_changed_but_not_looked_at_is_not_kept_unseen(recorder_client, firing):
    looked = send(recorder_client, firing, log("Kiln")).url
    typed = fields_of(recorder_client.get(looked)) | {"unit": "F", "keep": "1"}
    answer = recorder_client.post(looked, typed)

    assert not Curve.objects.exists()
    assert parse_qs(urlsplit(answer.url).query)["unit"] == ["F"]


def test_a_wrong_correction_loses_neither_file_nor_fields(recorder_client, firing):
    looked = send(recorder_client, firing, log()).url
    page = recorder_client.post(looked, {"every_s": "often", "unit": "C", "keep": "1"})

    assert page.status_code == 422
    assert b"often" in page.content
    assert recorder_client.get(looked).status_code == 200


def test_how_a_kiln_s_logger_is_read_is_remembered_and_said(recorder_client, firing):
    bring_in(recorder_client, firing, log("Kiln"))
    later = FiringFactory(number=232, fired=True, kiln=firing.kiln)
    page = recorder_client.get(send(recorder_client, later, log("Kiln", hotter=3)).url)

    assert Kiln.objects.get(pk=firing.kiln_id).logger_reading["choice"]["unit"] == "C"
    assert "Read as it was confirmed for the last file of Oriel" in page.content.decode()
    assert page.context["form"]["unit"].value() == "C"


def test_another_logger_on_the_kiln_is_read_anew_and_that_is_said(recorder_client, firing):
    bring_in(recorder_client, firing, log("Kiln"))
    later = FiringFactory(number=232, fired=True, kiln=firing.kiln)
    page = recorder_client.get(send(recorder_client, later, log("Top (°C)", title="Elapsed (min)")).url)

    assert "The columns differ" in page.content.decode()
    assert page.context["looked"].outlook is not None


@pytest.mark.parametrize("name", sorted(SHAPES))
def test_the_preview_answers_for_every_shape_of_file(recorder_client, firing, name):
    page = recorder_client.get(send(recorder_client, firing, SHAPES[name]().data).url)

    assert page.status_code == 200
    assert page.context["looked"].outlook or page.context["looked"].trouble


def test_another_sheet_is_chosen_on_the_page(recorder_client, firing):
    data = BOOKS["a_short_log_before_the_long_one"]().data
    looked = send(recorder_client, firing, data, "log.xlsx").url
    first = recorder_client.get(looked)

    assert "The sheet Firing was taken" in first.content.decode()

    typed = fields_of(first) | {"sheet": "Test of the probe", "sheet_shown": "Firing", "sensors": ["1"]}
    again = recorder_client.post(looked, typed).url
    page = recorder_client.get(again)

    assert page.context["looked"].outlook.reading.read_as.rows == 60
    assert "sensors" not in parse_qs(urlsplit(again).query)

    recorder_client.post(again, fields_of(page) | {"keep": "1"})

    assert Curve.objects.get().read_as["sheet"] == "Test of the probe"
    assert Kiln.objects.get().logger_reading["choice"]["sheet"] == "Test of the probe"


def test_a_spreadsheet_is_read_as_the_kiln_s_last_one(recorder_client, firing):
    data = BOOKS["stamps_and_figures"]().data
    bring_in(recorder_client, firing, data, "log.xlsx")
    later = FiringFactory(number=232, fired=True, kiln=firing.kiln)
    page = recorder_client.get(send(recorder_client, later, data, "log.xlsx").url)

    assert "Read as it was confirmed for the last file of Oriel" in page.content.decode()
    assert "separator" not in page.context["form"].fields


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"PK\x03\x04 sheet", "Save the sheet as CSV"),
        (b"%PDF-1.7", "This is a PDF"),
        (b"dear diary, today we fired", "No table of times"),
        (bytes(range(256)) * 40, "no text"),
    ],
)
def test_what_is_no_log_is_refused_in_words(recorder_client, firing, data, words):
    page = recorder_client.get(send(recorder_client, firing, data).url)

    assert page.status_code == 200
    assert words in page.content.decode()
    assert b"Keep this curve" not in page.content


def test_no_file_and_an_empty_file_are_refused(recorder_client, firing):
    nothing = recorder_client.post(address("new", firing), {})
    empty = send(recorder_client, firing, b"")

    assert nothing.status_code == empty.status_code == 422
    assert b"Choose the logger" in nothing.content
    assert b"empty" in empty.content


def test_an_enormous_file_is_refused_before_it_is_read(recorder_client, firing, settings):
    settings.PHOTO_MAX_BYTES = 2_000
    answer = send(recorder_client, firing, log())

    assert answer.status_code == 422
    assert b"Log less often" in answer.content


def test_a_file_that_waited_too_long_is_asked_for_again(recorder_client, firing):
    answer = recorder_client.get(address("look", firing, "0" * 64), follow=True)

    assert "Choose it again" in answer.content.decode()


def test_a_file_goes_to_its_place_before_its_row_is_written(recorder, firing, monkeypatch, data_folder):
    sha256 = services.receive_file([log()])
    outlook = look(services.contents(sha256), Choice())

    def dies(*args, **kwargs):
        raise KeyboardInterrupt

    monkeypatch.setattr(Curve, "save", dies)
    with pytest.raises(KeyboardInterrupt):
        services.keep_curve(firing.pk, services.LoggerFile(sha256, "kiln.csv"), outlook, by=recorder)

    assert services.originals().kept(sha256).exists()
    assert not Curve.objects.exists()


def test_a_file_that_is_not_there_leaves_no_row(recorder, firing):
    outlook = look(log(), Choice())

    with pytest.raises(FileNotFoundError):
        services.keep_curve(firing.pk, services.LoggerFile("0" * 64, "kiln.csv"), outlook, by=recorder)

    assert not Curve.objects.exists()


def test_the_newest_curve_counts_or_the_one_chosen(recorder_client, firing):
    bring_in(recorder_client, firing, log(), "first.csv")
    bring_in(recorder_client, firing, log(hotter=-30), "second.csv")
    firing.refresh_from_db()
    by_second = firing.reached_number
    first = Curve.objects.get(original_name="first.csv")
    recorder_client.post(address("let_count", firing, first.pk))
    firing.refresh_from_db()

    assert firing.reached_number > by_second + 1
    assert firing.reached_number == Decimal(str(first.heat["interval"]["value"])).quantize(Decimal("0.01"))


def test_a_curve_taken_off_leaves_the_target_and_undo_brings_it_back(recorder_client, firing):
    bring_in(recorder_client, firing, log())
    before = Curve.objects.get()
    recorder_client.post(address("take_off", firing, before.pk))
    firing.refresh_from_db()

    assert firing.reached_source == "target"

    version = Curve.history.filter(history_type="-").get()
    recorder_client.post(address("put_back", firing, version.history_id))
    firing.refresh_from_db()
    after = Curve.objects.get()

    assert firing.reached_source == "curve"
    assert after.heat == before.heat
    assert bytes(after.samples) == bytes(before.samples)


def test_the_same_file_twice_is_one_curve_read_anew(recorder_client, firing):
    bring_in(recorder_client, firing, log())
    looked = send(recorder_client, firing, log()).url
    said = recorder_client.get(looked).content.decode()

    assert f"{firing.label} holds this very file already" in said
    assert "Nothing is kept yet" not in said

    answer = bring_in(recorder_client, firing, log())

    assert Curve.objects.count() == 1
    assert "kept as read now" in recorder_client.get(answer.url).content.decode()


def read_in_fahrenheit(client, firing):
    """Bring the same file in again with its degrees taken for the other scale."""
    looked = send(client, firing, log()).url
    fields = fields_of(client.get(looked)) | {"unit": "F", "again": "1"}
    corrected = client.post(looked, fields).url
    return client.post(corrected, fields_of(client.get(corrected)) | {"keep": "1"})


def test_undo_of_a_file_read_anew_brings_the_first_reading_back(recorder_client, firing):
    bring_in(recorder_client, firing, log())
    first = Curve.objects.get()
    version = Curve.history.latest("history_id")
    read_in_fahrenheit(recorder_client, firing)

    assert Curve.objects.get().heat != first.heat

    recorder_client.post(address("put_back", firing, version.history_id))
    firing.refresh_from_db()

    assert Curve.objects.get().heat == first.heat
    assert firing.reached_number == Decimal(str(first.heat["interval"]["value"])).quantize(Decimal("0.01"))


def test_undo_stops_where_the_curve_was_changed_again_since(recorder_client, firing):
    bring_in(recorder_client, firing, log())
    version = Curve.history.latest("history_id")
    read_in_fahrenheit(recorder_client, firing)
    bring_in(recorder_client, firing, log())
    read_in_fahrenheit(recorder_client, firing)
    standing = Curve.objects.get().heat
    answer = recorder_client.post(address("put_back", firing, version.history_id), follow=True)

    assert "was changed again since; nothing was undone" in answer.content.decode()
    assert Curve.objects.get().heat == standing


def test_the_firing_s_page_draws_its_curve_without_scripts(viewer_client, recorder_client, firing):
    assert b"Bring in the logged curve" in recorder_client.get(firing.get_absolute_url()).content
    bring_in(recorder_client, firing, log())
    page = viewer_client.get(firing.get_absolute_url()).content.decode()

    assert page.count("curve-line--logged") >= 4
    assert "by logged curve" in page
    assert "tolerance of type K" in page


def test_a_curve_s_page_has_its_table_and_how_it_was_read(viewer_client, recorder_client, firing):
    bring_in(recorder_client, firing, log())
    page = viewer_client.get(address("curve", firing, Curve.objects.get().pk)).content.decode()

    assert "power off" in page
    assert "1222 °C" in page
    assert "by its name" in page


def test_all_rows_come_as_csv(viewer_client, recorder_client, firing):
    bring_in(recorder_client, firing, log())
    answer = viewer_client.get(address("rows", firing, Curve.objects.get().pk))
    lines = b"".join(answer.streaming_content).decode().splitlines()

    assert lines[0] == "seconds,°C Kiln (°C)"
    assert lines[1] == "0,20.00"
    assert len(lines) == 1 + len(list(rows()))


def test_the_plot_gets_temperatures_in_the_studio_s_unit(viewer_client, recorder_client, firing):
    bring_in(recorder_client, firing, log())
    found = viewer_client.get(address("plot", firing, Curve.objects.get().pk), {"pixels": "300"}).json()
    logged = next(one["values"] for one in found["temps"] if one["kind"] == "logged")

    assert found["unit"] == "C"
    assert max(temp for temp in logged if temp is not None) == pytest.approx(1222, abs=0.5)
    assert len(found["hours"]) == len(logged) == len(found["cones"])


@pytest.mark.parametrize("pixels", ["", "wide", "²", "9" * 5000])
def test_a_width_that_is_none_draws_at_the_usual_one(viewer_client, recorder_client, firing, pixels):
    bring_in(recorder_client, firing, log())
    plot = address("plot", firing, Curve.objects.get().pk)

    assert viewer_client.get(plot, {"pixels": pixels}).json() == viewer_client.get(plot).json()


def test_a_viewer_brings_nothing_in_and_takes_nothing_off(viewer_client, recorder_client, firing):
    bring_in(recorder_client, firing, log())
    curve = Curve.objects.get()

    assert viewer_client.get(address("new", firing)).status_code == 403
    assert viewer_client.get(address("original", firing, curve.pk)).status_code == 403
    assert viewer_client.post(address("take_off", firing, curve.pk)).status_code == 403
    assert Curve.objects.count() == 1


@pytest.fixture
def fahrenheit_studio(db):
    StudioPreferences.objects.create(temperature_unit="F")


def words_of(answer):
    """A page's words without the logger's own lines."""
    page = re.sub(r"<pre.*?</pre>", "", answer.content.decode(), flags=re.DOTALL)
    return re.sub(r"<[^>]+>", " ", page)


@pytest.mark.usefixtures("fahrenheit_studio")
def test_a_fahrenheit_studio_reads_every_curve_page_in_fahrenheit(recorder_client, firing):
    looked = send(recorder_client, firing, log("Kiln")).url
    preview = recorder_client.get(looked)
    recorder_client.post(looked, fields_of(preview) | {"keep": "1"})
    curve = Curve.objects.get()
    pages = {
        "preview": preview,
        "curve": recorder_client.get(address("curve", firing, curve.pk)),
        "firing": recorder_client.get(firing.get_absolute_url()),
    }

    for name, page in pages.items():
        said = words_of(page)
        assert "2232 °F" in said, name
        assert "cone at 108 °F/h" in said, name
        # What the file itself holds is told as the file tells it.
        left = re.sub(r"temperature, °C|as found: °C|read as °C|Unit\s+°C", "", said)
        assert not re.search(r"\d °C", left), (name, re.search(r".{40}\d °C.{20}", left, re.DOTALL))


@pytest.mark.usefixtures("fahrenheit_studio")
def test_a_fahrenheit_studio_is_told_of_a_cold_log_in_fahrenheit(recorder_client, firing):
    cold = b"\n".join([b"min,Kiln (F)", *(b"%d,%d" % (minute, 70 + minute) for minute in range(300))])
    page = recorder_client.get(send(recorder_client, firing, cold).url)

    assert "never gets above 392 °F" in words_of(page) or "never above 200" in words_of(page)


@pytest.mark.usefixtures("fahrenheit_studio")
def test_a_fahrenheit_studio_prints_its_report_in_fahrenheit(recorder_client, firing):
    bring_in(recorder_client, firing, log("Kiln"))
    report = report_of(firing, Unit.FAHRENHEIT)
    said = " ".join([*(value for _, value in report.heat), *report.noticed, report.reached_by, report.asked])

    assert "2232 °F" in said
    assert not re.search(r"\d °C", said.replace("read as °C", ""))
    assert report.drawing.cone_rate == "108 °F/h"


def test_a_refused_file_offers_another(recorder_client, firing):
    page = recorder_client.get(send(recorder_client, firing, b"dear diary").url)

    assert address("new", firing) in page.content.decode()


def test_each_correction_says_what_was_found(recorder_client, firing):
    page = recorder_client.get(send(recorder_client, firing, log("Kiln")).url).content.decode()

    assert "as found: °C" in page
    assert "as found: Time (min)" in page
    assert "As found: Kiln." in page

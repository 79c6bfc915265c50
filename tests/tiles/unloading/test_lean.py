"""A long list is written without the blanks of its templates; what a person typed keeps its lines."""

from django.template import Context, Template


def test_breaks_of_lines_are_one_break_but_in_what_is_typed():
    page = Template(
        "{% load lean %}{% lean %}<p>\n    <b>a</b> c\n\n  </p>\n  "
        "<textarea>\n  {{ typed }}\n\n  x</textarea>{% endlean %}"
    )

    assert page.render(Context({"typed": "two\n  lines <b>"})) == (
        "<p>\n<b>a</b> c\n</p>\n<textarea>\n  two\n  lines &lt;b&gt;\n\n  x</textarea>"
    )

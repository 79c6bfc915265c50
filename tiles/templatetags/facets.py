"""`{% load facets %}`: the choices of a search by the hundred, which a template's own variables make dear."""

from collections.abc import Iterable
from functools import lru_cache
from html import escape

from django import template
from django.utils.safestring import SafeString, mark_safe
from django.utils.text import slugify

from tiles.search.facets import Choice, Facet, Facets
from tiles.search.groups import Setting

register = template.Library()

# The groups of so many searches, about 60 kB each as they are written; turning pages writes them once.
MOST_KEPT = 32

# A `details` keeps its id so that js/search.js can keep open what a person opened.
GROUP = """<details class="facet" id="facet-{name}"{opened}>
  <summary>{title}</summary>
  <fieldset class="facet-body facet-set">
    <legend class="unseen">{title}</legend>
    {setting}{choices}{none}{more}{typed}{problem}
  </fieldset>
</details>
"""
SETTING = '<div class="choices choices--scale facet-setting">{choices}</div>\n'
SETTING_CHOICE = """<label class="choice">
  <input id="setting-{name}-{value}" type="radio" name="{name}" value="{sent}"{checked}>
  <span class="choice-word">{words}</span>
</label>
"""
MORE = """<details class="facet-more" id="facet-{name}-more">
  <summary>{count} more</summary>
  {choices}{unsent}
</details>
"""
TYPED = """<input id="typed-{name}" name="{name}" type="text" value="{typed}" placeholder="{hint}"
  aria-label="{title}: {hint}" autocomplete="off" maxlength="20"{invalid}>
"""
NOTE = '<p class="note">{}</p>\n'


@register.simple_tag
@lru_cache(maxsize=MOST_KEPT)
def groups_of(facets: Facets) -> SafeString:
    """All groups of choices, each with its boxes to tick, what may be typed, and how it is meant."""
    # All that people typed is escaped in the parts below.
    return mark_safe("".join(map(_group, facets.groups)))  # nosec B308, B703


def _group(facet: Facet) -> str:
    group = facet.group
    return GROUP.format(
        name=group.name,
        title=_escaped(group.title),
        opened=" open" if facet.is_open else "",
        setting=_setting(group.setting, facet.setting) if group.setting else "",
        choices=_choices(group.name, facet.choices),
        none=_notes(facet),
        more=_more(facet) if facet.more else "",
        typed=_typed(facet) if group.scale else "",
        problem=_problem(facet) if facet.problem else "",
    )


@lru_cache(maxsize=64)
def _setting(setting: Setting, said: str) -> str:
    """How a group is meant, such as the cone reached or the target; the first is meant unless said otherwise."""
    usual = setting.choices[0][0]
    choices = (
        SETTING_CHOICE.format(
            name=setting.name,
            value=value,
            sent="" if value == usual else value,
            checked=" checked" if value == (said or usual) else "",
            words=escape(words),
        )
        for value, words in setting.choices
    )
    return SETTING.format(choices="".join(choices))


def _notes(facet: Facet) -> str:
    group = facet.group
    note = NOTE.format(escape(group.note)) if group.note else ""
    return note if facet.choices or group.scale else note + NOTE.format("none among these results")


def _more(facet: Facet) -> str:
    group, unsent = facet.group, ""
    if facet.unsent:
        rest = "can be typed below" if group.scale else "have fewer results; write a name in the search field"
        unsent = NOTE.format(f"{facet.unsent} others {rest}")
    choices = _choices(group.name, facet.more)
    return MORE.format(name=group.name, count=len(facet.more), choices=choices, unsent=unsent)


def _typed(facet: Facet) -> str:
    group = facet.group
    invalid = f' aria-invalid="true" aria-describedby="problem-{group.name}"' if facet.problem else ""
    return TYPED.format(
        name=group.name,
        title=_escaped(group.title),
        typed=escape(facet.typed),
        hint=_escaped(group.scale.hint if group.scale else ""),
        invalid=invalid,
    )


def _problem(facet: Facet) -> str:
    return f'<p class="field-errors" id="problem-{facet.group.name}">{escape(facet.problem)}</p>\n'


def _choices(group: str, choices: Iterable[Choice]) -> str:
    """Choices, each with a box to tick and how many results it would give."""
    return "".join([_choice(group, choice) for choice in choices])


def _choice(group: str, choice: Choice) -> str:
    none = "" if choice.results != 0 else " facet-choice--none"
    count = "" if choice.results is None else f' <span class="facet-count">{choice.results}</span>'
    box = _box(group, choice.value, choice.words, choice.is_chosen)
    return f'<label class="facet-choice{none}">\n  {box}{count}\n</label>\n'


@lru_cache(maxsize=8192)
def _box(group: str, value: str, words: str, is_chosen: bool) -> str:
    """The box and its words, which are the same on page after page."""
    slug = value if value.isalnum() else slugify(value)
    checked = " checked" if is_chosen else ""
    return (
        f'<input id="choice-{group}-{slug}" type="checkbox" name="{group}" value="{escape(value)}"{checked}>\n'
        f'  <span class="facet-word">{escape(words)}</span>'
    )


_escaped = lru_cache(maxsize=256)(escape)

"""`{% load cards %}`: results' cards by the dozen, which a template's own variables make dear."""

from collections.abc import Mapping, Sequence
from functools import lru_cache
from html import escape

from django import template
from django.utils.safestring import SafeString, mark_safe

from firings.templatetags.icons import icon
from tiles.search.cards.words import MOST_KEPT, Card, Picture

register = template.Library()

CARD = """<article class="card">
  {picture}
  <div class="card-words">
    <div class="card-top">
      <span class="number-plate">{label}</span>
      <span class="note zone-name">{zone}
        <svg class="zone-place" viewBox="{around}" aria-hidden="true">
          <rect class="zone-place-tile" width="{tile_width}" height="{tile_height}" rx="3" />
          <rect class="zone-place-zone" x="{x}" y="{y}" width="{width}" height="{height}" />
        </svg>
      </span>
    </div>
    <h2 class="card-stack"><a href="{address}">{stack}</a></h2>
    {seen}{colour}{marks}
    <p class="conditions">{conditions}</p>
    {where}
    <label class="compare-tick">
      <input type="checkbox" name="o" value="{pk}" form="compare" autocomplete="off"
             data-compare-name="{label} {zone}">
      compare<span class="unseen"> tile {label}, {zone}</span>
    </label>
  </div>
</article>
"""
PICTURE = """<figure class="photo photo--square">
    <img src="{small}" srcset="{widths}" sizes="(min-width: 45rem) 18rem, 45vw" width="{width}" height="{height}"
         alt="Tile {label}, {zone}" loading="lazy" decoding="async">
  </figure>"""
NO_PICTURE = """<figure class="photo photo--square photo--none">{icon}no photo yet</figure>"""
COLOUR = """<p class="card-colour">
      <span class="swatch-words">
        <svg class="swatch" viewBox="0 0 1 1" aria-hidden="true"><rect width="1" height="1" fill="{shown}" /></svg>
        <span>{name} <span class="note">{basis}</span></span>
      </span>
      {apart}
    </p>"""


@register.simple_tag
@lru_cache(maxsize=MOST_KEPT)
def card_of(card: Card) -> SafeString:
    """A result, its words made ready by `tiles.search.cards`."""
    # All that people typed is escaped here and in the parts below.
    label, zone = escape(card.label), escape(card.zone)
    written = CARD.format(
        pk=card.pk,
        label=label,
        zone=zone,
        address=escape(card.address),
        stack=escape(card.stack),
        conditions=escape(card.conditions),
        picture=_picture(card.picture, label, zone),
        seen=_seen(card.seen, is_judged=card.judged),
        colour=_colour(card.colour, card.delta_e),
        marks=_marks(card.marks),
        where=_where(card.where),
        **card.place,
    )
    return mark_safe(written)  # nosec B308, B703


def _picture(picture: Picture | None, label: str, zone: str) -> str:
    if picture is None:
        return NO_PICTURE.format(icon=icon("camera"))
    return PICTURE.format(
        small=escape(picture.small),
        widths=escape(picture.widths),
        width=picture.width,
        height=picture.height,
        label=label,
        zone=zone,
    )


def _seen(words: str, *, is_judged: bool) -> str:
    note = "" if is_judged else " note"
    return f'<p class="card-seen{note}">{escape(words)}</p>' if words else ""


def _colour(colour: Mapping[str, str] | None, delta_e: str | None) -> str:
    if colour is None:
        return ""
    apart = f'<strong class="steady">ΔE {escape(delta_e)}</strong>' if delta_e else ""
    return COLOUR.format(apart=apart, **{name: escape(words) for name, words in colour.items()})


def _where(words: str) -> str:
    return (
        f'<p class="note card-where"><span class="unseen">The tile is at </span>{escape(words)}</p>'
        if words
        else ""
    )


def _marks(marks: Sequence[Mapping[str, str]]) -> str:
    if not marks:
        return ""
    chips = (f'<li class="chip {escape(mark["kind"])}">{escape(mark["words"])}</li>' for mark in marks)
    return f'<ul class="chips">{"".join(chips)}</ul>'

"""Evidence in words, for the pages of boats."""

from django import template

from shopapp.boats import marks
from shopapp.boats.facts import kind_of, subject_of
from shopapp.boats.models import Evidence

register = template.Library()


@register.filter
def fact_label(row: Evidence) -> str:
    """What an evidence row speaks of: Release, Fuse, End A."""
    return kind_of(subject_of(row)[0], row.fact).label.lower()


@register.filter
def value_words(row: Evidence) -> str:
    """An evidence row's value as a person reads it."""
    return marks.value_words(row.fact, row.value)


@register.filter
def mark_words(mark: marks.Mark | None) -> str:
    """A mark in full."""
    return mark.whole if mark else "no source noted"

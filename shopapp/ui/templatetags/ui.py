"""Tags and filters of the shop's pages."""

from django import template

register = template.Library()

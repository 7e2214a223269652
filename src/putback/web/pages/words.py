"""Filters for templates: figures and moments in words, as everywhere in Putback."""

from datetime import datetime

from django import template

register = template.Library()


@register.filter
def moment(said: str) -> str:
    """Say when something happened: ``12 May 2031, 14:05``; as exactly as it is known."""
    if not said:
        return "some time"
    if len(said) == len("2031-05"):
        return datetime.fromisoformat(f"{said}-01").strftime("%B %Y")
    when = datetime.fromisoformat(said)
    day = f"{when.day} {when:%b %Y}"
    return day if len(said) == len("2031-05-12") else f"{day}, {when:%H:%M}"


@register.filter
def sentence(words: str) -> str:
    """Begin with a capital and end with a full stop."""
    text = words.strip()
    if not text:
        return ""
    end = "" if text[-1] in ".?!:" else "."
    return f"{text[0].upper()}{text[1:]}{end}"


@register.filter
def words(text: str) -> list[str]:
    """Part a text into its words, so that a template can go through them."""
    return text.split()

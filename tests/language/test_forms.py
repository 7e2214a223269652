"""Forms of a template's text: each way through its tags, and no other."""

import pytest

from tests.language.forms import SHOWN, Tags


@pytest.mark.parametrize(
    ("text", "forms"),
    [
        ("Save", {"Save"}),
        ("{% if a %}Save{% else %}Keep{% endif %} it", {"Save it", "Keep it"}),
        ("{% if a %}One{% elif b %}two{% endif %} it", {"One it", "two it", "it"}),
        ("{% if a %}A{% endif %} b{% if a %} c{% endif %}", {"A b c", "b"}),
        ("{% if a and b %}A{% endif %}{% if not a %}b{% endif %}", {"A", "b", ""}),
        ("{{ n }} part{{ n|pluralize }}", {f"{SHOWN} part", f"{SHOWN} parts"}),
        ('{{ n }} box{{ n|pluralize:",es" }}', {f"{SHOWN} box", f"{SHOWN} boxes"}),
        ('{{ x|default:"by file" }}', {SHOWN, "by file"}),
        ("{{ x|sentence }} Go on", {f"{SHOWN}. Go on"}),
        (
            "{% for a in b %}{{ a }}{% if not forloop.last %}, {% endif %}"
            "{% empty %}none{% endfor %}",
            {"none", SHOWN, f"{SHOWN}, {SHOWN}"},
        ),
        ("A{% else %}B{% endif %} c", {"A c", "B c"}),
        ("a{% endif %} b", {"a b", "b"}),
        ("a {% if x %}b", {"a b", "a"}),
        ('a {% include "x.html" %} b', {"a", "b"}),
        ("a{% comment %}b{% endcomment %}", {"a"}),
        ("a {% url 'x' y as z %}b {% url 'x' %}", {f"a b {SHOWN}"}),
    ],
)
def test_each_form_of_a_text_is_given(text, forms):
    """A condition asked twice is answered alike; both ways lead through what goes on beyond it."""
    tags = Tags(text)
    assert tags.forms(tags.source) == forms

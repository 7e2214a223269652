"""What is typed into a calculator's fields, read to SI or refused field by field."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.bench.calculator import Answer, Asked, Calculator, OutsideLimits, Quantity
from putback.errors import BadInput, InputError, NotFound
from putback.vehicle.nearest import SeveralMeant
from putback.workshop.benching.reading import BadFields, read, read_field, work_out


def asked(quantity: Quantity, **more) -> Asked:
    """A field of this quantity."""
    return Asked("x", "x_si", "what it is", quantity, **more)


def damp(text: str) -> tuple[str, ...]:
    """Say which of dry and wet a word means."""
    return {"damp": ("wet",), "?": ("dry", "wet")}.get(text, ())


@pytest.mark.parametrize(
    ("field", "typed", "value"),
    [
        (asked(Quantity.LENGTH), "3/8 in", 0.009525),
        (asked(Quantity.LENGTH, bare="mm"), "12,5", 0.0125),
        (asked(Quantity.LENGTH, low=-1), "-20 mm", -0.02),
        (asked(Quantity.TORQUE), "27 lbf·ft", 27 * 1.3558179483314004),
        (asked(Quantity.FORCE), "75 kg", 735.49875),
        (asked(Quantity.ANGLE, bare="deg", low=-7), "-90", -math.pi / 2),
        (asked(Quantity.TEMPERATURE, low=-50), "-5 °C", -5),
        (asked(Quantity.PITCH, bare="tpi"), "24", 24 / 0.0254),
        (asked(Quantity.SHARE), "12 %", 0.12),
        (asked(Quantity.SHARE, bare="%"), "12", 0.12),
        (asked(Quantity.SHARE, bare="1"), "0.12", 0.12),
        (asked(Quantity.NUMBER), "-0.14", -0.14),
        (asked(Quantity.NUMBER), "1 1/2", 1.5),
        (asked(Quantity.COUNT), "4", 4),
        (asked(Quantity.TEXT), " 5/16-24 ", "5/16-24"),
        (asked(Quantity.LINES), "a 1\nb 2\n", "a 1\nb 2"),
        (asked(Quantity.YES), "Yes", True),
        (asked(Quantity.YES), "no", False),
        (asked(Quantity.CHOICE, choices=("Dry", "Oiled")), "oiled", "Oiled"),
        (asked(Quantity.CHOICE, choices=("8.8", "10.9")), "10.9", "10.9"),
        (asked(Quantity.CHOICE, choices=("dry", "wet"), meant=damp), "damp", "wet"),
        (asked(Quantity.LENGTH, default="5 mm"), "", 0.005),
        (asked(Quantity.LENGTH, is_optional=True), " ", None),
    ],
)
def test_a_field_is_read_by_its_quantity(field, typed, value):
    """SI for what has a unit; a field left empty has its default."""
    assert read_field(field, typed) == (
        pytest.approx(value) if isinstance(value, float) else value
    )


@pytest.mark.parametrize(
    ("field", "typed", "error", "said"),
    [
        (asked(Quantity.LENGTH, hint="5 mm"), "", BadInput, "nothing was given; asked for: what"),
        (asked(Quantity.CHOICE, choices=("dry", "wet")), "", BadInput, "one of dry, wet"),
        (asked(Quantity.CHOICE, choices=tuple("abcdefgh")), "", BadInput, "a, b, c, d, e, f, ..."),
        (asked(Quantity.LENGTH), "5", InputError, "say in which unit"),
        (asked(Quantity.LENGTH), "-5 mm", InputError, "leave the minus sign out"),
        (asked(Quantity.LENGTH, low=0.01), "5 mm", OutsideLimits, "less than 10 mm (0.3937 in)"),
        (asked(Quantity.LENGTH, high=0.01), "1 m", OutsideLimits, "more than 10 mm"),
        (asked(Quantity.SHARE), "0.12", BadInput, "write it like '12 %'"),
        (asked(Quantity.NUMBER), "nan", BadInput, "cannot read 'nan' as a number"),
        (asked(Quantity.NUMBER), "1,500", BadInput, "cannot read '1,500' as a number"),
        (asked(Quantity.NUMBER), "9" * 300, BadInput, "300 characters are too many"),
        (asked(Quantity.COUNT), "2.5", BadInput, "'2.5' is no whole number"),
        (asked(Quantity.YES), "perhaps", BadInput, "say yes or no"),
        (asked(Quantity.CHOICE, choices=("dry", "oiled")), "oild", NotFound, "did you mean 'oil"),
        (asked(Quantity.CHOICE, choices=("dry", "wet")), "gold", BadInput, "one of dry, wet"),
        (
            asked(Quantity.CHOICE, choices=("dry", "wet"), meant=damp),
            "?",
            SeveralMeant,
            "dry, wet",
        ),
        (asked(Quantity.CHOICE, choices=("dry", "wet"), meant=damp), "hot", BadInput, "no choice"),
        (asked(Quantity.LINES), "x" * 20_001, BadInput, "at most 20000"),
    ],
)
def test_what_cannot_be_meant_says_why(field, typed, error, said):
    """In the field's own terms."""
    with pytest.raises(error) as caught:
        read_field(field, typed)
    assert said in str(caught.value)


def double(*, x_m: float, by: float | None) -> Answer:
    """Refuse what is too long once doubled."""
    if by is not None:
        raise OutsideLimits("by is not for doubling", field="by")
    if x_m == 1:
        raise BadInput("no number", "line 2 of x")
    if x_m > 1:
        raise OutsideLimits("both together are too much")
    return Answer("double", (), (), f"{2 * x_m}")


DOUBLE = Calculator(
    name="double",
    title="Double",
    words="Twice as long",
    asked=(
        Asked("x", "x_m", "the length", Quantity.LENGTH),
        Asked("by", "by", "not for doubling", Quantity.NUMBER, is_optional=True),
    ),
    work=double,
    example={"x": "5 mm"},
)


def test_it_is_worked_out_by_the_names_of_the_function():
    """Typed by its name, given by its argument."""
    assert work_out(DOUBLE, {"x": "5 mm"}).verdict == "0.01"
    assert read(DOUBLE, {"x": "5 mm"}) == {"x_m": 0.005, "by": None}


def test_every_field_that_is_wrong_is_named():
    """All at once, each with how to mend it; one alone is the place of the error."""
    with pytest.raises(BadFields) as caught:
        work_out(DOUBLE, {"x": "5", "by": "two", "y": "3"})
    assert set(caught.value.faults) == {"x", "by", "y"}
    said = str(caught.value)
    assert said.startswith("bench double: 3 inputs are wrong:\n  - y: ")
    assert "  - by: cannot read 'two' as a number; write a number, like 0.14" in said
    with pytest.raises(BadFields) as caught:
        work_out(DOUBLE, {"x": "5"})
    assert str(caught.value) == (
        "bench double x: cannot read '5' as a length; say in which unit, like '190.5 mm' or"
        " '1 1/2 in'"
    )


def test_a_limit_of_the_formula_is_told_at_its_field():
    """If it names one; else of all together."""
    with pytest.raises(BadFields) as caught:
        work_out(DOUBLE, {"x": "5 mm", "by": "2"})
    assert set(caught.value.faults) == {"by"}
    with pytest.raises(BadFields, match="bench double, line 2 of x: no number"):
        work_out(DOUBLE, {"x": "1 m"})
    with pytest.raises(OutsideLimits, match="both together"):
        work_out(DOUBLE, {"x": "2 m"})


def test_an_input_that_is_not_asked_for_offers_the_nearest():
    """Or says what is asked for."""
    with pytest.raises(BadFields, match=r"bench double zzz: .*it asks for x, by"):
        work_out(DOUBLE, {"x": "5 mm", "zzz": "1"})
    adaptor = Calculator("a", "A", "", (Asked("torque", "t", "", Quantity.NUMBER),), double, {})
    with pytest.raises(BadFields, match="did you mean 'torque'"):
        work_out(adaptor, {"torqe": "1", "torque": "1"})


@given(st.sampled_from(list(Quantity)), st.text(max_size=20))
@settings(max_examples=50)
def test_any_text_is_read_or_refused(quantity, text):
    """Whatever is typed gives a value or an `InputError`, and nothing else."""
    try:
        value = read_field(asked(quantity, choices=("dry",)), text)
    except InputError:
        return
    assert not isinstance(value, float) or math.isfinite(value)

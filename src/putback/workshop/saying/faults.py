"""What pydantic finds wrong with an entry, in plain words: its own are for programmers."""

from pydantic import ValidationError


def fault_of(error: ValidationError) -> str:
    """Say the first fault in plain words: pydantic's are for programmers."""
    first = error.errors(include_url=False)[0]
    name = ".".join(str(step) for step in first["loc"]) or "this"
    said, limits = first["input"], first.get("ctx", {})
    match first["type"]:
        case "missing":
            return f"{name} is missing"
        case "int_parsing" | "int_from_float" | "int_parsing_size":
            return f"{name}: {said!r} is no whole number"
        case "float_parsing" | "decimal_parsing" | "finite_number":
            return f"{name}: {said!r} is no number"
        case "bool_parsing":
            return f"{name}: {said!r} is neither yes nor no"
        case "enum":
            return f"{name}: {said!r} is none of {limits['expected']}"
        case "greater_than_equal":
            return f"{name}: {said} is less than {limits['ge']}"
        case "string_pattern_mismatch" if name == "currency":
            return f"{name}: {said!r} is not three letters, like GBP"
        case "value_error":
            return str(limits["error"])
        case _:
            return f"{name}: {first['msg']}"

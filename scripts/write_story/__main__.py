"""Write the story of the demonstration vehicle."""

from scripts.write_story import rebuild, strip
from scripts.write_story.cast import Cast


def main() -> None:
    """Tell the story, and write it down."""
    cast = Cast()
    strip.tell(cast)
    rebuild.tell(cast)
    lines = cast.script.write()
    print(f"{lines} lines")


if __name__ == "__main__":
    main()

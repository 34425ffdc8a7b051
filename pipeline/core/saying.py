"""Words that are written in one place and said in another, in the language of a booklet."""


def to_say(message: str) -> str:
    """Mark a message for the catalogues; it is looked up when it is said."""
    return message


def to_count(singular: str, plural: str) -> tuple[str, str]:
    """Mark a message for so many, of which `count` is the number; see `to_say`."""
    return singular, plural

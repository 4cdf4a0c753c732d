"""How much a test tries: little by default, all of it with ``--hypothesis-profile=long``."""

from hypothesis import settings


def tried(usually: int, long: int) -> int:
    """``long`` where the long profile was asked for, else ``usually``."""
    return long if settings.get_current_profile_name() == "long" else usually

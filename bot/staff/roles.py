"""What a member of staff may do: a clerk sees and answers, a manager also runs things again and takes data out, an owner
also decides about staff and erases.
"""

from dataclasses import dataclass
from typing import Final, Literal, get_args

from aiohttp import web

Role = Literal["clerk", "manager", "owner"]
ROLES: Final[tuple[Role, ...]] = get_args(Role)
"""Each may do all that those before it may."""


@dataclass(frozen=True, slots=True)
class Person:
    """A member of staff who has signed in.

    Attributes:
        form_key: what the marks of this person's forms are made from; not shown, not stored.
    """

    name: str
    role: Role
    form_key: str = ""

    def may(self, needed: Role) -> bool:
        """Whether the role is enough."""
        return ROLES.index(self.role) >= ROLES.index(needed)


@dataclass(frozen=True, slots=True)
class Known:
    """Who makes a request, once that was looked up; ``person`` is ``None`` where nobody has signed in."""

    person: Person | None


PERSON: Final = web.RequestKey("person", Known)

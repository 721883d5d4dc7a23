"""What a chain must keep to, as it is asked for and as the second opinion holds it against the result."""

from typing import NamedTuple


class Limits(NamedTuple):
    """What a chain must keep to. `psi` working pressure; `avoid` family keys (but where
    an end itself is one); `shape_from`, `shape_to` (`straight`, `45`,
    `90`) of the first and last part; `full_bore` no part narrower than the narrower end; `fixed` both ends are held and
    cannot be turned; `max_parts`."""

    psi: int | None = None
    avoid: tuple[str, ...] = ()
    max_parts: int | None = None
    shape_from: str | None = None
    shape_to: str | None = None
    full_bore: bool = False
    fixed: bool = False

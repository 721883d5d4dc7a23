"""How many examples a law is tried on: a share of what the profile gives (`tests/conftest.py`)."""

from hypothesis import settings


def examples(everyday: int) -> int:
    """`everyday` examples in the everyday profile, and as many times more as another profile gives."""
    return max(1, everyday * settings().max_examples // 100)

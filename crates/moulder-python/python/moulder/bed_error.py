"""What is wrong with a bed."""

from __future__ import annotations

from typing import Any


class BedError(ValueError):
    """Everything that is wrong with a bed, or with several.

    ``faults`` has a dict for each: ``code`` (stable, for programs), ``place`` (line and column, or
    a JSON pointer), ``path`` of the field, ``found``, ``expected``, ``help`` (what would do),
    ``message`` (a sentence) and, where several beds were given, ``bed``: which of them. ``code`` is
    that of the first.
    """

    def __init__(self, message: str, code: str = "", faults: list[dict[str, Any]] | None = None):
        super().__init__(message, code, faults or [])
        self.code = code
        self.faults = faults or []

    def __str__(self) -> str:
        return str(self.args[0])

"""What is said when the program ends otherwise than its keeper meant."""

from __future__ import annotations

STOPPED = "stopped"
NO_MEMORY = "This machine has not enough memory for that. Nothing of it was kept; give it less at once."


def not_taken(reason: str) -> str:
    """``reason`` in the system's words."""
    return f"The output could not be written: {reason}. What was shown as saved is safe."


def crashed(error: str, where: str) -> str:
    """``error`` is the name of its class, ``where`` one of the two below."""
    return f"rounds stopped by a mistake of its own ({error}); {where}. What was shown as saved is safe."


def report_in(file: str) -> str:
    return f"a report is in {file}"


def no_report(reason: str) -> str:
    return f"no report could be written ({reason})"

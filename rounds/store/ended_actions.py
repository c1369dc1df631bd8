"""Open actions that ended with an act: what has to be open again when it is taken back."""

from __future__ import annotations

from rounds.records.observations import Action
from rounds.store.book import Book
from rounds.store.cell_codec import unpack


def ended_with(book: Book, act: bytes) -> list[Action]:
    """The actions that were withdrawn when an act was recorded, as they were before; none that changed since.

    They carry the act's own instant in their trace (``walk.recorder``, ``walk.outlived_actions``).
    """
    found = book.rows(
        "SELECT a.uid, a.enclosure, a.rule, a.level, a.reason, a.todo, a.opened, a.until, a.why, a.cause_gone,"
        " a.withheld, a.closed, (SELECT p.state FROM action_change p WHERE p.action = a.id AND p.id < c.id"
        " ORDER BY p.id DESC LIMIT 1) FROM act t JOIN action_change c ON c.at_ms = t.at_ms"
        " JOIN action a ON a.id = c.action WHERE t.uid = ? AND a.state = 'withdrawn'"
        " AND c.id = (SELECT max(id) FROM action_change WHERE action = a.id) ORDER BY a.id",
        (act,),
    )
    out = []
    for uid, *facts, until, why, cause_gone, withheld, closed, before in found:
        state = unpack(before)["state"] if before else "open"
        out.append(Action._make((bytes(uid), *facts, state, until, why, bool(cause_gone), withheld, closed)))
    return out

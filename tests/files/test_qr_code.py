"""QR codes against the library segno, which searches the mask module by module (ISO/IEC 18004, 7.8.3)."""

from __future__ import annotations

import random
import string

import segno

from rounds.files import qr_code

BORDER = 4


def slowly(text: str) -> tuple[segno.QRCode, qr_code.Matrix]:
    symbol = segno.make(text, error=qr_code.CORRECTION, micro=False)
    rows = symbol.matrix_iter(scale=1, border=BORDER)
    return symbol, tuple(tuple(map(bool, row)) for row in rows)


def test_the_symbols_are_those_of_the_library() -> None:
    draw = random.Random(18004)
    texts = [f"\tTL-{n:04}\r" for n in range(0, 200, 5)]
    texts += ["".join(draw.choices(string.printable, k=draw.randint(1, 90))) for _ in range(60)]
    texts += [str(draw.randrange(10 ** draw.randint(1, 60))) for _ in range(20)]
    texts += ["x" * 150]  # larger than those whose mask is searched here
    found = {text: slowly(text) for text in texts}
    assert {symbol.mask for symbol, _ in found.values()} == set(range(qr_code.MASKS)), "one mask would not do"
    assert {symbol.version for symbol, _ in found.values()} >= {1, 2, 3, 4, 5, 6, 8}
    for text, (symbol, rows) in found.items():
        assert qr_code.matrix(text, BORDER) == rows, (text, symbol.mask)

"""Numbers of options are read like everywhere else: a comma or a point before the decimals."""

from __future__ import annotations

import click
import pytest
from click.testing import CliRunner

from rounds.commands.number_types import NUMBER, WHOLE


@click.command()
@click.option("--share", type=NUMBER, default=0.5)
@click.option("--boxes", type=WHOLE)
def taking(share: float, boxes: int | None) -> None:
    click.echo(f"{share!r} {boxes!r}")


@pytest.mark.parametrize(
    ("argv", "taken"),
    [
        ((), "0.5 None"),
        (("--share", "2,5"), "2.5 None"),
        (("--share", "2.5", "--boxes", "12"), "2.5 12"),
        (("--boxes", "12,0"), "0.5 12"),
        (("--share", "-1"), "-1.0 None"),
    ],
)
def test_numbers_that_are_read(argv: tuple[str, ...], taken: str) -> None:
    assert CliRunner().invoke(taking, argv).output == f"{taken}\n"


@pytest.mark.parametrize(
    "argv", [("--share", "nan"), ("--share", "1,234"), ("--boxes", "2,5"), ("--boxes", "1_0")]
)
def test_numbers_that_are_refused_by_the_name_of_their_option(argv: tuple[str, ...]) -> None:
    told = CliRunner().invoke(taking, argv)
    assert told.exit_code == 2
    assert argv[0] in told.output
    assert f"`{argv[1]}`" in told.output

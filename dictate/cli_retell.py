"""The command that teaches the network that retells, for maintainers."""

from __future__ import annotations

from pathlib import Path

import click


@click.command("teach-retelling")
@click.argument("known", type=click.Path(path_type=Path, dir_okay=False, exists=True))
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
@click.option(
    "--base",
    type=click.Path(path_type=Path, file_okay=False, exists=True),
    required=True,
    help="The folder of the open network.",
)
@click.option("--layers", default=3, show_default=True, help="Of the decoder.")
@click.option("--turns", default=25.0, show_default=True, help="How often every line is shown.")
@click.option("--seed", default=0, show_default=True)
def teach_retelling(
    known: Path, folder: Path, base: Path, layers: int, turns: float, seed: int
) -> None:
    """Teach the network that retells a line as findings (needs the extra 'teach').

    KNOWN holds lines with their findings, a line of JSON each (tests/retell/samples.py makes
    them). FOLDER gets the weights, for a folder in dictate/retell/weights: what several tell
    is taken together. Nine minutes on a graphics processor, days without one.
    """
    from dictate.errors import UsageError

    try:
        from dictate.teach.retell_files import teach_into
        from dictate.teach.retell_train import Settings
    except ImportError as error:
        raise UsageError(
            f"Teaching needs more packages ({error}). Run: pip install 'dictate[teach]'"
        ) from None
    settings = Settings(layers=layers, turns=turns, seed=seed)
    teach_into(folder, known, base, settings, lambda told: click.echo(told, err=True))
    click.echo(folder)

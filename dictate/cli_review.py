"""The command that opens the page: reads arguments, calls ``dictate.web``, prints."""

from __future__ import annotations

from pathlib import Path

import click

from dictate.cli_listen import THIRD


@click.command()
@click.argument("path", type=click.Path(path_type=Path))
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    help="A new folder for the examination of a recording or text (else one in your data folder).",
)
@click.option("--no-browser", is_flag=True, help="Print the page's address and open no browser.")
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="Where to serve the page.")
@click.option(
    "--grammar", "folder", type=click.Path(path_type=Path), help="Another folder of grammar files."
)
@THIRD
def review(
    path: Path, out: Path | None, no_browser: bool, port: int, folder: Path | None, third: bool
) -> None:
    """Check an examination in the browser: hear it, correct it, answer what is open, sign it.

    PATH is the folder of an examination, or a recording or text, of which one is made. The page is
    for this machine alone; its address is a secret. Ends with Ctrl-C.
    """
    import webbrowser

    from dictate.web.opening import open_for_review
    from dictate.web.serve import serve

    opened = open_for_review(path, folder, out, third)

    def ready(address: str, once: str) -> None:
        if no_browser:
            click.echo(address)
        elif not webbrowser.open(once):
            click.echo(f"No browser was found. Open this address: {address}", err=True)

    click.echo(f"The examination is kept in {opened.folder}.", err=True)
    if not no_browser:
        click.echo("End with Ctrl-C.", err=True)
    try:
        serve(opened.desk, ready, opened.begin, port)
    finally:
        opened.close()

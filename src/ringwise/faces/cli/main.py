"""The entry point: builds the commands, runs one, turns failures into one line and an exit code.

Nothing heavy is imported here; each command imports its wish of the desk when it runs.
"""

from __future__ import annotations

import os
import sys

import typer
from typer.exceptions import TyperException

from ringwise import __version__
from ringwise.faces.cli import (
    aims,
    calc,
    calibration,
    collection,
    cuts,
    demo,
    entries,
    keeping,
    measure,
    mixes,
    odds,
    outlook,
    places,
    records,
    serve,
    turning,
    water,
    weather,
    weigh,
    work,
)
from ringwise.kit.errors import RingwiseError
from ringwise.kit.words import _

app = typer.Typer(
    name="ringwise",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help=_("Bench book, almanac and look-ahead for trees trained in pots over decades."),
)

for part in (
    aims,
    demo,
    serve,
    collection,
    records,
    entries,
    keeping,
    weather,
    places,
    outlook,
    calibration,
    weigh,
    mixes,
    odds,
    work,
    measure,
    water,
    cuts,
    turning,
    calc,
):
    part.add_to(app)


def _version(asked: bool) -> None:
    if asked:
        sys.stdout.write(f"ringwise {__version__}\n")
        raise typer.Exit


@app.callback()
def _top(
    version: bool = typer.Option(
        False, "--version", callback=_version, is_eager=True, help=_("Print the version and exit.")
    ),
) -> None:
    """Options before the subcommand."""


def exit_code(arguments: list[str] | None = None) -> int:
    """Run one command: 0 done, 2 bad use, 1 a failure, 130 stopped by the user."""
    try:
        result = app(args=arguments, standalone_mode=False, prog_name="ringwise")
        sys.stdout.flush()
        return result if isinstance(result, int) else 0
    except RingwiseError as wrong:
        return _fail(str(wrong), wrong.exit_code)
    except (typer.Abort, KeyboardInterrupt):
        return _fail(_("stopped; what was acknowledged is stored"), 130)
    except typer.Exit as leave:
        return leave.exit_code
    except TyperException as wrong:  # a usage error of the option parser
        return _fail(_usage(wrong), 2)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except OSError as wrong:
        return _fail(
            _("{file}: {why}").format(file=wrong.filename or _("file"), why=wrong.strerror or wrong), 1
        )
    except UnicodeEncodeError:
        return _fail(_("a text holds characters that cannot be stored or shown; type it again"), 2)
    except Exception as wrong:  # a bug: one line for the user, the whole story in the log
        return _report(wrong)


def _report(wrong: Exception) -> int:
    import logging

    log = logging.getLogger("ringwise")
    log.error("unexpected failure", exc_info=wrong)
    kept = _("the log of the collection has the details") if log.handlers else repr(wrong)
    return _fail(
        _("an unexpected failure ({kind}); nothing half was stored; {kept}").format(
            kind=type(wrong).__name__, kept=kept
        ),
        1,
    )


def _usage(wrong: BaseException) -> str:
    message = wrong.format_message() if hasattr(wrong, "format_message") else str(wrong)
    context = getattr(wrong, "ctx", None)
    where = f" ({_('see')} {context.command_path} --help)" if context is not None else ""
    return " ".join(message.split()) + where


def _fail(message: str, code: int) -> int:
    sys.stderr.write("ringwise: " + " ".join(message.split()) + "\n")
    return code

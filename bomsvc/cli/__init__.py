"""The command line: `bomsvc COMMAND`, for people and scripts on this machine.

Commands work on the database directly, as the person at this machine. Each is
imported when it is run, so that `--help` and `size` stay quick. Exit codes: 0 done,
1 faults found, 2 bad input.
"""

from __future__ import annotations

from importlib import import_module

import click

COMMANDS: dict[str, tuple[str, str]] = {
    "serve": ("bomsvc.cli.office", "Serve the REST interface."),
    "load": ("bomsvc.cli.catalogue", "Keep a document as a draft, or publish it."),
    "prove": ("bomsvc.cli.prove", "Prove a catalogue over every valid build."),
    "changes": ("bomsvc.cli.changes", "Say what changed between two revisions."),
    "publish": ("bomsvc.cli.catalogue", "Publish a revision."),
    "export": ("bomsvc.cli.catalogue", "Write a revision's document."),
    "jobs": ("bomsvc.cli.menu", "List a family's jobs and how to name them."),
    "identify": ("bomsvc.cli.builds", "Say what follows from what is known."),
    "resolve": ("bomsvc.cli.builds", "List what a job takes on an engine."),
    "why": ("bomsvc.cli.explaining", "Say why a part is on a list, or is not."),
    "complete": ("bomsvc.cli.explaining", "Make a full build of what is known."),
    "convert": ("bomsvc.cli.explaining", "Say what turns an engine into another."),
    "fits": ("bomsvc.cli.explaining", "Say where a part fits, on which engines."),
    "sheet": ("bomsvc.cli.sheet", "Print a joint's screws and draw them."),
    "count": ("bomsvc.cli.builds", "Count the builds that are left."),
    "size": ("bomsvc.cli.fasteners", "Size a screw by hand."),
    "torque": ("bomsvc.cli.fasteners", "Estimate a torque by hand."),
    "token": ("bomsvc.cli.office", "Make, list and revoke access tokens."),
    "demo": ("bomsvc.cli.demo", "Load the invented demo."),
    "check": ("bomsvc.cli.office", "Check the database against its promises."),
}
"""Command -> its module and what the overview says of it, in the order shown."""


class LazyGroup(click.Group):
    """Imports a command's module when the command is run, not before."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the commands in the order of the overview."""
        del ctx
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Return a command, importing its module."""
        del ctx
        if cmd_name not in COMMANDS:
            return None
        module = import_module(COMMANDS[cmd_name][0])
        command: click.Command = getattr(module, cmd_name)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Refuse an unknown command with the nearest known one."""
        from bomsvc.core.terms.words import nearest

        name = args[0]
        if name not in COMMANDS and not name.startswith("-"):
            near = nearest(name, COMMANDS)
            hint = f" Did you mean '{near}'?" if near else ""
            ctx.fail(f"There is no command '{name}'.{hint}")
        return super().resolve_command(ctx, args)

    def format_commands(
        self, ctx: click.Context, formatter: click.HelpFormatter
    ) -> None:
        """Write the overview without importing any command."""
        del ctx
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_m, text) in COMMANDS.items()])


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="bomsvc")
def main() -> None:
    """From an engine's build and a job to the exact parts, gaskets and screws.

    The engine maker's current manual, local codes and licensed practice prevail.
    """

"""`access`: the passwords of the pages.

Never shows a password that a person chose, and takes none on the command line, where others can read it.
"""

import secrets

import click

from floor.cli.choices import OneOf
from floor.cli.opening import Folder, pass_folder
from floor.cli.trouble import answers, say_json
from floor.doors.access import ROLES, Access, Role

ROLE = click.argument("role", type=OneOf(ROLES))


@click.command("set")
@ROLE
@click.option("--make", is_flag=True, help="Make a password, and show it this once.")
@pass_folder
@answers
def access_set(folder: Folder, role: Role, make: bool, as_json: bool) -> None:
    """Give ROLE a password; sessions of an old one end."""
    made = secrets.token_urlsafe(12) if make else None
    password = made or click.prompt("Password", hide_input=True, confirmation_prompt=True, err=True)
    Access(folder.path).set(role, password)
    if as_json:
        say_json({"role": role, "password": made})
        return
    if made:
        click.echo(made)
    click.echo(f"The role {role} has a password now. The pages speak plain HTTP: let others in through TLS.", err=True)


@click.command("list")
@pass_folder
@answers
def access_list(folder: Folder, as_json: bool) -> None:
    """The roles that have a password."""
    roles = Access(folder.path).roles()
    if as_json:
        say_json({"roles": roles})
    else:
        click.echo(", ".join(roles) or "None: the pages are for this machine alone.")


@click.command("remove")
@ROLE
@pass_folder
@answers
def access_remove(folder: Folder, role: Role, as_json: bool) -> None:
    """Take the password of ROLE away; its sessions end."""
    Access(folder.path).remove(role)
    if as_json:
        say_json({"role": role})
    else:
        click.echo(f"The role {role} has no password any more.")

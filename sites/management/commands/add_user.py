"""Create a user with a role: the first owner of a new installation, and every later user."""

import getpass
import sys
from argparse import ArgumentParser
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError

from sites.kernel.engines.roles import Role
from sites.people.services.people import UnableToAddPerson, add_person


class Command(BaseCommand):
    """`manage.py add_user NAME --role owner`."""

    help = "Add somebody who can sign in. The password is asked for, or read from a pipe."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Add the options."""
        parser.add_argument("name", help="what the person types to sign in")
        parser.add_argument("--role", choices=[role.value for role in Role], default="owner")
        parser.add_argument("--email", default="", help="where a forgotten password is mailed")
        parser.add_argument("--client", default="", help="see only this client's properties")
        parser.add_argument("--property", default="", help="see only this property")

    def handle(self, *args: Any, **options: Any) -> None:
        """Read and validate the password, then create the user with the grant."""
        password = self._password()
        try:
            validate_password(password)
            user = add_person(
                username=options["name"],
                email=options["email"],
                password=password,
                role=Role(options["role"]),
                client_name=options["client"],
                property_code=options["property"],
            )
        except ValidationError as error:
            raise CommandError(" ".join(error.messages)) from error
        except UnableToAddPerson as error:
            raise CommandError(str(error)) from error
        self.stdout.write(f"{user.username} can sign in as {options['role']}.")

    def _password(self) -> str:
        if sys.stdin.isatty():
            return getpass.getpass("Password (twelve characters or more): ")
        return sys.stdin.readline().rstrip("\n")

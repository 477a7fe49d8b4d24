from django.contrib.auth.models import User
from django.core.management.base import BaseCommand, CommandError

from studio.people import second_factor


class Command(BaseCommand):
    help = "Print a code that opens the book once beside the password: telephone and paper are both gone."

    def add_arguments(self, parser):
        parser.add_argument("username", help="the name somebody signs in with")

    def handle(self, username, **options):
        account = User.objects.filter(username=username).first()
        if account is None:
            raise CommandError(f"Nobody signs in as {username}.")
        if not second_factor.is_on(account):
            raise CommandError(f"{username} is asked for no code; the password alone opens the book.")
        [code] = second_factor.put_on_paper(account, 1)
        self.stdout.write(code)

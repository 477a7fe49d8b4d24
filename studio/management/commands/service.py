import getpass
import os
import sys
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.files.storage import storages
from django.core.management.base import BaseCommand

UNIT = """\
# {root}: python3 manage.py service | sudo tee /etc/systemd/system/mordant.service
# then: sudo systemctl daemon-reload && sudo systemctl enable --now mordant
[Unit]
Description=Mordant, the workshop book
Wants=network-online.target
After=network-online.target postgresql.service

[Service]
Type=exec
User={user}
WorkingDirectory={root}
ExecStart="{python}" "{root}/manage.py" start
{environment}
# for its owner's eyes: lines NAME=value{secrets}
EnvironmentFile=-{data}/environment
Restart=on-failure
RestartSec=5
TimeoutStopSec=30
UMask=0077
NoNewPrivileges=yes
PrivateTmp=yes
PrivateDevices=yes
ProtectSystem=strict
ProtectHome=read-only
ProtectKernelTunables=yes
ProtectControlGroups=yes
RestrictSUIDSGID=yes
RestrictAddressFamilies=AF_INET AF_INET6 AF_UNIX
ReadWritePaths="{data}"{elsewhere} "-{root}/.venv"

[Install]
WantedBy=multi-user.target
"""
# read by libraries, and by us
ELSEWHERE = ("DATABASE_URL", "DATABASE_DIRECT_URL", "AWS_ACCESS_KEY_ID", "AWS_SECRET_ACCESS_KEY", "AWS_SESSION_TOKEN")
# whoever may read a unit reads what stands in it
SECRET = ("DATABASE_URL", "DATABASE_DIRECT_URL", "MORDANT_SECRET_KEY", "MORDANT_MAIL", "MORDANT_CACHE", "AWS_")
OF_THIS_TERMINAL = ("MORDANT_HANDED_OVER", "MORDANT_NO_BOOTSTRAP", "MORDANT_DATA")


class Command(BaseCommand):
    help = "Print a systemd unit that opens this book as it would be opened here, with the same settings."

    def handle(self, **options):
        ours = {name for name in os.environ if name.startswith("MORDANT_") or name in ELSEWHERE}
        secret = {name for name in ours if name.startswith(SECRET)}
        plain = {"MORDANT_DATA": str(settings.DATA)}
        plain |= {name: os.environ[name] for name in sorted(ours - secret - {*OF_THIS_TERMINAL})}
        told = {
            "root": escaped(str(settings.ROOT)),
            "data": escaped(str(settings.DATA)),
            "elsewhere": "".join(f' "-{escaped(place)}"' for place in folders_elsewhere()),
            "python": escaped(sys.executable),
            "user": getpass.getuser(),
            "environment": "\n".join(f"Environment={quoted(name, value)}" for name, value in plain.items()),
            "secrets": f" for {', '.join(sorted(secret))}" if secret else "",
        }
        self.stdout.write(UNIT.format(**told), ending="")


def folders_elsewhere() -> list[str]:
    """Where documents and backups are kept, if in a folder outside of the data folder."""
    ours: list[Any] = [storages["default"], storages["backups"]]
    places = {storage.place for storage in ours}
    return sorted(each for each in places if "://" not in each and not Path(each).is_relative_to(settings.DATA))


def quoted(name: str, value: str) -> str:
    return f'"{name}={escaped(value)}"'


def escaped(value: str) -> str:
    """As systemd reads it between quotation marks: a percent sign would begin a specifier."""
    return value.replace("\\", "\\\\").replace('"', '\\"').replace("%", "%%")

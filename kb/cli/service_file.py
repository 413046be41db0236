"""A service file, so that the pages are there as soon as the machine has power.

In the form of systemd.service(5). It's written into the workspace; putting it in force takes
the administrator, so that is only told.
"""

import getpass
import sys
from collections.abc import Iterator

from kb.cli.listening import Served
from kb.crew.hosts import Reach
from kb.records import settings
from kb.records.workspace import Workspace

FILE = "kitlore.service"
_TEXT = """\
# Written by 'kitlore serve --install'; see systemd.service(5).
[Unit]
Description=Kitlore, the gear book in {folder}
After=network.target

[Service]
User={user}
ExecStart={command}
Restart=always
RestartSec=2
UMask=0077
NoNewPrivileges=true
PrivateTmp=true

[Install]
WantedBy=multi-user.target
"""


def write(place: Workspace, served: Served) -> Iterator[str]:
    """Write the file into the workspace, and yield what is to be done with it, line by line.

    Raises:
        StorageError: The folder can't be written.
    """
    path = place.folder / FILE
    settings.write_whole(path, text(place, served, getpass.getuser()).encode())
    yield f"{path} is written. Put it in force as the administrator:"
    yield f"  sudo cp {_quoted(str(path))} /etc/systemd/system/"
    yield "  sudo systemctl daemon-reload"
    yield f"  sudo systemctl enable --now {FILE}"


def text(place: Workspace, served: Served, user: str) -> str:
    """Return the file's text.

    Args:
        place: The workspace.
        served: To whom and where.
        user: In whose name it runs.
    """
    words = [sys.executable, "-m", "kb", "-w", str(place.folder), "serve"]
    words += {Reach.NETWORK: ["--lan"], Reach.PROXY: ["--proxy"]}.get(served.reach, [])
    words += ["--port", str(served.port)]
    if served.tls is not None:
        words += ["--cert", str(served.tls.cert), "--key", str(served.tls.key)]
    folder = str(place.folder).replace("%", "%%")
    return _TEXT.format(folder=folder, user=user, command=" ".join(map(_quoted, words)))


def _quoted(word: str) -> str:
    """Return a word as systemd.service(5) reads it, whatever stands in a folder's name."""
    plain = word.replace("\\", "\\\\").replace('"', '\\"').replace("%", "%%").replace("$", "$$")
    return f'"{plain}"' if " " in word or plain != word else word

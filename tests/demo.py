"""The invented county for tests: made once for a run by its own command, copied for each test."""

import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

from tests.server import COMMAND


@dataclass(frozen=True)
class Demo:
    """A folder as ``riserway demo`` leaves it: store, road network, base map, sign-ins."""

    folder: Path

    @property
    def store_url(self) -> str:
        """The store, as an SQLAlchemy URL."""
        return f"sqlite:///{self.folder / 'county.sqlite'}"

    def password(self, role: str) -> str:
        """Return the password of a role's sign-in, whose name is the role."""
        lines = (self.folder / "sign-ins.txt").read_text(encoding="utf-8").splitlines()[1:]
        return dict(line.split() for line in lines)[role]

    def copy(self, folder: Path) -> "Demo":
        """Return a copy of its own, which a test may change."""
        return Demo(Path(shutil.copytree(self.folder, folder)))


def make(folder: Path) -> None:
    """Make the county in a folder, its day ordered."""
    done = subprocess.run(
        [COMMAND, "demo", "--no-serve", "--folder", folder],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr

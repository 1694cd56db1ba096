"""Reading a PDF as people and screen readers would."""

import subprocess
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Read:
    """What poppler says of a PDF."""

    text: str
    info: dict[str, str]
    fonts: list[list[str]]

    @property
    def words(self) -> str:
        """The text on one line."""
        return " ".join(self.text.replace("\u200b", "").split())

    @property
    def pages(self) -> int:
        return int(self.info["Pages"])


def read(pdf: bytes, folder: Path) -> Read:
    path = folder / "paper.pdf"
    path.write_bytes(pdf)
    lines = _run("pdfinfo", path).splitlines()
    info = {
        key: value.strip() for key, _, value in (row.partition(":") for row in lines)
    }
    fonts = [row.split() for row in _run("pdffonts", path).splitlines()[2:]]
    return Read(_run("pdftotext", path, "-"), info, fonts)


def ink_box(pdf: bytes, folder: Path, page: int) -> tuple[float, float, float, float]:
    """Where ink lies on a page, as shares of its width and height."""
    import numpy as np
    from PIL import Image

    (folder / "ink.pdf").write_bytes(pdf)
    _run("pdftoppm", "-r", "50", "-gray", "-f", page, "-singlefile", folder / "ink.pdf",
         folder / "ink")  # fmt: skip
    grey = np.asarray(Image.open(folder / "ink.pgm")) < 200
    rows, columns = np.flatnonzero(grey.any(axis=1)), np.flatnonzero(grey.any(axis=0))
    height, width = grey.shape
    return columns[0] / width, rows[0] / height, columns[-1] / width, rows[-1] / height


def _run(*command: object) -> str:
    done = subprocess.run(
        [str(word) for word in command], capture_output=True, text=True, check=True
    )
    return done.stdout

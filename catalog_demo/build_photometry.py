"""Writes the photometric file of every luminaire of the demo catalogue: LM-63-2002, one file an optic and lumen package.

The shapes are those of ``shapes.toml``, the lumens and watts those of the ladders in ``series/``; nothing is random, so the
same bytes come out. A body's second supply range shares the file of its first. Run ``python -m catalog_demo.build_photometry``
after a change of either, then ``python -m catalog_demo.build``; a test holds the files to what this makes.
"""

from typing import Final

from catalog_demo.build import HERE, photometric_files
from catalog_demo.light import FOLDER

ENDING: Final = ".ies"


def main() -> None:
    """Write every file, and take away those that no product has any more."""
    files = photometric_files()
    folder = HERE / FOLDER
    folder.mkdir(exist_ok=True)
    for old in folder.glob(f"*{ENDING}"):
        if f"{FOLDER}/{old.name}" not in files:
            old.unlink()
    for name, content in files.items():
        (HERE / name).write_bytes(content)
    print(f"{len(files)} files, {sum(map(len, files.values())):,} bytes")


if __name__ == "__main__":
    main()

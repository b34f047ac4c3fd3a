"""Print the direct requirements of pyproject.toml for a purpose: run, test or bench."""

import sys
import tomllib
from pathlib import Path

EXTRAS = {"run": ["serve"], "test": ["serve", "dev"], "bench": ["serve", "dev", "bench"]}


def main() -> None:
    """Write one requirement a line."""
    top = Path(__file__).resolve().parents[2]
    project = tomllib.loads((top / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = list(project["dependencies"])
    for extra in EXTRAS[sys.argv[1]]:
        wanted += project["optional-dependencies"][extra]
    sys.stdout.write("\n".join(wanted) + "\n")


if __name__ == "__main__":
    main()

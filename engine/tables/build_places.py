"""Builds ``places_zips.csv`` and ``places_cities.csv`` from the ``zipcodes`` package (MIT). Run by hand:

    python -m engine.tables.build_places

Needs the development extra. The product itself reads only the two files written here.
Left out: military addresses and ZIP codes without coordinates. A city's place is the mean of its standard ZIP
codes (of all its codes, if it has no standard one). Names that the postal service accepts beside a ZIP code's
own city ("Hollywood" for Los Angeles) are kept as cities too, unless the state has a city of that name.
"""

import csv
import sys
from collections import defaultdict
from pathlib import Path
from typing import Any

import zipcodes

from engine.places import name_key

Point = tuple[float, float]


def build(folder: Path) -> tuple[int, int]:
    """Writes both files to ``folder`` and returns how many ZIP codes and cities they hold."""
    everything: list[dict[str, Any]] = zipcodes.list_all()
    listed = [
        entry
        for entry in everything
        if entry["zip_code_type"] != "MILITARY" and entry["lat"] and float(entry["lat"]) != 0.0
    ]
    own: dict[tuple[str, str], list[tuple[bool, Point]]] = defaultdict(list)
    names: dict[tuple[str, str], str] = {}
    also: dict[tuple[str, str], list[tuple[bool, Point]]] = defaultdict(list)
    with (folder / "places_zips.csv").open("w", newline="", encoding="utf-8") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(["zip", "city", "state", "latitude", "longitude"])
        for entry in sorted(listed, key=lambda entry: str(entry["zip_code"])):
            point = (float(entry["lat"]), float(entry["long"]))
            standard = entry["zip_code_type"] == "STANDARD"
            out.writerow([entry["zip_code"], entry["city"], entry["state"], *map(_short, point)])
            key = (name_key(entry["city"]), entry["state"])
            own[key].append((standard, point))
            names.setdefault(key, entry["city"])
            for other in entry["acceptable_cities"]:
                alias = (name_key(other), entry["state"])
                also[alias].append((standard, point))
                names.setdefault(alias, other)
    cities = {**also, **own}
    with (folder / "places_cities.csv").open("w", newline="", encoding="utf-8") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(["key", "state", "city", "latitude", "longitude", "zips"])
        for (name, state), points in sorted(cities.items()):
            chosen = [point for standard, point in points if standard] or [point for _, point in points]
            latitude = sum(point[0] for point in chosen) / len(chosen)
            longitude = sum(point[1] for point in chosen) / len(chosen)
            out.writerow([name, state, names[name, state], _short(latitude), _short(longitude), len(points)])
    return len(listed), len(cities)


def _short(degrees: float) -> str:
    """Two decimals are half a mile: more says nothing of a ZIP code."""
    return f"{degrees:.2f}"


if __name__ == "__main__":
    zips, cities = build(Path(__file__).parent)
    sys.stdout.write(f"{zips} ZIP codes, {cities} cities\n")

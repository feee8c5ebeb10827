"""The one scenario of a made-up small fleet that the tests run: tools/small_fleet/small_fleet.toml with its gaps filled."""
import pathlib
import re

TOP = pathlib.Path(__file__).resolve().parents[1]


def small_fleet_text(**changes):
    """The scenario's text; `changes` fill gaps by name, all others keep what the file says."""
    frame = (TOP / "tools" / "small_fleet" / "small_fleet.toml").read_text()
    changes.setdefault("climate", TOP / "scenarios" / "valley" / "climate.csv")
    gaps = re.findall(r"@(\w+):", frame)
    unknown = set(changes) - set(gaps)
    if unknown:
        raise KeyError(f"small_fleet.toml has no gap {', '.join(sorted(unknown))}")
    return re.sub(r"@(\w+):([^@]*)@", lambda gap: str(changes.get(gap[1], gap[2])), frame)

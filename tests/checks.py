"""Claims of a test that runs programs: told where they fail, counted, summed up at the end."""

count = 0
failures = []


def check(what, held, seen=None):
    """`seen` is told where the claim fails: what was there instead."""
    global count
    count += 1
    if not held:
        failures.append(what)
        print("FAILED:", what, "" if seen is None else f"({seen})")


def sum_up():
    """Prints the sums; the exit code of the test."""
    print(f"{count - len(failures)} passed, {len(failures)} failed")
    return 1 if failures else 0

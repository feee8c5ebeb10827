"""Claims of a test that runs programs: told where they fail, counted, summed up at the end."""

count = 0
failures = []


def check(what, held):
    global count
    count += 1
    if not held:
        failures.append(what)
        print("FAILED:", what)


def sum_up():
    """Prints the sums; the exit code of the test."""
    print(f"{count - len(failures)} passed, {len(failures)} failed")
    return 1 if failures else 0

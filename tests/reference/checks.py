"""The list of named checks of one run, and its closing line `N passed, N failed`."""

import faulthandler
import json
import os
import subprocess
import sys
import time
import traceback


LIMIT = 300  # seconds from one check to the next: what takes longer hangs


class Checks:
    """Ends the whole run, as failed, with the place where it stood, when a check hangs."""

    def __init__(self):
        self.passed = 0
        self.failed = 0
        faulthandler.dump_traceback_later(LIMIT, exit=True)

    def add(self, name, reasons, lines=()):
        """Notes one check; it has passed when there are no reasons against it."""
        if reasons:
            self.failed += 1
        else:
            self.passed += 1
        print(f"{'FAILED' if reasons else 'ok'} {name}")
        for line in lines:
            print(f"    {line}")
        for reason in reasons:
            print(f"    FAULT {reason}")
        sys.stdout.flush()
        faulthandler.dump_traceback_later(LIMIT, exit=True)

    def run(self, name, function, *arguments):
        """A check by a function that returns (lines, reasons); a crash of it is a failure."""
        try:
            lines, reasons = function(*arguments)
        except Exception as fault:
            lines = traceback.format_exc().splitlines()[-6:]
            reasons = [f"the check could not run: {type(fault).__name__}: {fault}"]
        self.add(name, reasons, lines)

    def stop(self):
        """Ends the watch for checks that hang."""
        faulthandler.cancel_dump_traceback_later()

    def close(self):
        """Prints the closing line; the exit code of the run. A run of no checks has failed."""
        if self.passed + self.failed == 0:
            self.add("at least one check runs", ["there was nothing to check"])
        faulthandler.cancel_dump_traceback_later()
        print(f"{self.passed} passed, {self.failed} failed")
        return 1 if self.failed else 0


def call(command, told=None, limit=240):
    """Runs a command; (seconds, reasons). What it says about errors goes into the file `told`."""
    begin = time.monotonic()
    done = subprocess.run(command, capture_output=True, text=True, timeout=limit, check=False)
    seconds = time.monotonic() - begin
    if told is not None:
        told.write_text(done.stderr, "utf-8")
    if done.returncode == 0:
        return seconds, []
    tail = (done.stdout + done.stderr).strip().splitlines()[-12:]
    return seconds, [f"{os.path.basename(command[0])} ended with {done.returncode}", *tail]


def printed_twice(maker, key, expected):
    """(the cases that an example prints as JSON under a key, lines, reasons): called twice, it must print the same, and so many cases."""
    texts = [subprocess.run([str(maker)], capture_output=True, text=True, check=True, timeout=120).stdout for _ in range(2)]
    cases = json.loads(texts[0])[key]
    reasons = [] if texts[0] == texts[1] else ["another output the second time"]
    return cases, [f"{len(cases)} {key}"], reasons + ([] if len(cases) == expected else [f"{len(cases)} {key}, expected {expected}"])

"""Tables and schedules against the independent computations of tests/standings."""
import os
import subprocess
import sys

TESTS = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))


def test_tables_and_schedules_agree():
    check = os.path.join(TESTS, "standings", "check.py")
    subprocess.run([sys.executable, check], check=True)

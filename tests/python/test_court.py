"""Courts, tape steps and planted set-out errors, judged by the geometry library of tests/court."""
import os
import subprocess
import sys

TESTS = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))


def test_courts_agree_with_a_geometry_library():
    check = os.path.join(TESTS, "court", "check.py")
    subprocess.run([sys.executable, check, "--count", "40", "--step", "2"], check=True)

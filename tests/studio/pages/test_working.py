"""Workings on a page."""

import os
import subprocess
import sys

from studio.server import bootstrap

SHOWS_WORKINGS = """
import django
django.setup()
from django.template.loader import render_to_string

from chemistry.copper import cell_current, deposition
from chemistry.waste import treatment

permitted = treatment.plan("soda_ash", copper_g=63.546, permission="city waste office, 12 January 2026")
figures = [
    *permitted.figures.values(),
    cell_current.cathode_share(current_a=4, cathode_cm2=120, strength_g_per_l=240),
    deposition.most_current(facing_cm2=1000, strength_g_per_l=150),
]
for figure in figures:
    print(f"{figure.value:.4g} {figure.unit}", render_to_string("components/working.html", {"working": figure.working}))
"""


def shown(*options):
    environ = os.environ | {"DJANGO_SETTINGS_MODULE": "tests.settings"}
    run = subprocess.run(
        [sys.executable, *options, "-c", SHOWS_WORKINGS],
        cwd=bootstrap.ROOT,
        env=environ,
        capture_output=True,
        text=True,
    )
    assert run.returncode == 0, run.stderr
    return run.stdout


def test_workings_are_shown_alike_where_python_drops_docstrings():
    words = shown("-OO")

    assert words == shown()
    assert "106 g" in words
    assert "m = r m_Cu M(Na₂CO₃) / M(Cu)" in words and "soda ash for each copper, by number; 1 to 1.5" in words
    assert "IUPAC standard atomic weights 2021" in words and "common practice, no source" in words

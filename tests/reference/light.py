#!/usr/bin/env python3
"""Counts the photons of standard lamps from their spectra and compares with what `chamber` makes of a lux meter.

`tests/reference/run-chamber` runs it; by hand:

    python tests/reference/light.py target/release/blockside

The spectra are those of CIE 15:2018 as colour-science has them; photons and lux are summed here. Ends with status 1 where a
number differs.
"""

import json
import subprocess
import sys
import tempfile
import warnings

import numpy
from scipy.constants import N_A, c, h

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour
    from colour.colorimetry import SDS_LEFS_PHOTOPIC

# Kind and colour in kelvin as a profile has them.
LAMPS = {
    "LED-B1": ("white LED", 2733.5),
    "LED-B2": ("white LED", 2997.8),
    "LED-B3": ("white LED", 4102.5),
    "LED-B4": ("white LED", 5108.8),
    "LED-B5": ("white LED", 6597.5),
    "LED-V1": ("violet-pumped LED", 2723.7),
    "LED-V2": ("violet-pumped LED", 4069.5),
    "LED-RGB1": ("mixed-colour LED", 2839.8),
    "FL4": ("fluorescent", 2937.9),
    "FL11": ("fluorescent", 3998.6),
    "FL2": ("fluorescent", 4224.5),
    "A": ("bulb", 2855.5),
    "D50": ("daylight", 5001.9),
    "D55": ("daylight", 5502.6),
    "D65": ("daylight", 6503.7),
}
SHAPE = colour.SpectralShape(360, 830, 1)
EYE = SDS_LEFS_PHOTOPIC["CIE 1924 Photopic Standard Observer"].copy().align(SHAPE).values
LUX = 1000

# Spectra are given every five nanometres at most; how one fills in between moves the sixth digit.
SHARE, POINTS = 1e-5, 0.006


def photons(name):
    """Micromoles for so many lux, and the percent of them that are blue."""
    light = colour.SDS_ILLUMINANTS[name].copy().align(SHAPE)
    width, energy = light.wavelengths, light.values
    lux = 683.002 * numpy.trapezoid(energy * EYE, width)
    counted = energy * width * 1e-9 / (h * c * N_A) * 1e6
    seen, blue = (width >= 400) & (width <= 700), (width >= 400) & (width <= 500)
    total = numpy.trapezoid(counted[seen], width[seen])
    return LUX * total / lux, 100 * numpy.trapezoid(counted[blue], width[blue]) / total


def main():
    faults, worst = 0, 0.0
    for name, (kind, kelvin) in LAMPS.items():
        lines = [
            'schema = "blockside.profile/1"',
            'volume = "300 L"',
            "[room]",
            'temperature = "20 C"',
            'humidity = "50 %"',
            "[fan]",
            "none = true",
            "[lamp]",
            f'light = "{LUX} lux"',
            f'kind = "{kind}"',
            f'colour = "{kelvin} K"',
        ]
        with tempfile.NamedTemporaryFile("w", suffix=".toml") as file:
            file.write("\n".join(lines) + "\n")
            file.flush()
            run = subprocess.run([sys.argv[1], "chamber", file.name, "--format", "json"], capture_output=True, text=True)
        if run.returncode != 0:
            print(run.stderr)
            return 1
        values = json.loads(run.stdout)["values"]
        umol, blue = photons(name)
        off = abs(values["photons_umol_m2_s"]["value"] / umol - 1)
        worst = max(worst, off)
        if off > SHARE or abs(values["blue_percent"]["value"] - blue) > POINTS:
            faults += 1
            print(f"differs: {name}: program {values['photons_umol_m2_s']}, {values['blue_percent']}, spectrum {umol}, {blue}")
    print(f"{len(LAMPS)} lamps, largest difference {worst:.1e}")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())

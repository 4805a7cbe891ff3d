"""Nitrogen by CoolProp's equation of state; writes nitrogen_coolprop.csv.

Compressibility factor Z = p / (rho R T) at 293.15 K and the oil that a 4 L bladder accumulator with a precharge of 50
bar gauge takes from empty to each pressure, slowly (isothermal) and at once (isentropic), with real nitrogen.
Absolute pressure = gauge + 1.01325 bar. Not needed to run the tests.
To run: python3 nitrogen_coolprop.py > nitrogen_coolprop.csv
"""
import sys

import CoolProp
from CoolProp.CoolProp import PropsSI

T0 = 293.15
ATMOSPHERE = 101325.0
R = 8.31446261815324 / PropsSI("M", "Nitrogen")

print(f"# Nitrogen by nitrogen_coolprop.py, Python {sys.version.split()[0]}, CoolProp {CoolProp.__version__}")
print("gauge_bar,z,isothermal_l,isentropic_l")
start = PropsSI("D", "P", 50e5 + ATMOSPHERE, "T", T0, "Nitrogen")
entropy = PropsSI("S", "P", 50e5 + ATMOSPHERE, "T", T0, "Nitrogen")
for bar in range(50, 301, 10):
    p = bar * 1e5 + ATMOSPHERE
    rho = PropsSI("D", "P", p, "T", T0, "Nitrogen")
    fast = PropsSI("D", "P", p, "S", entropy, "Nitrogen")
    print(f"{bar},{p / (rho * R * T0):.6f},{4 * (1 - start / rho):.6f},{4 * (1 - start / fast):.6f}")
